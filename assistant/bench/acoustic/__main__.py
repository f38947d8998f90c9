"""The acoustic bench's command: see `python -m assistant.bench.acoustic --help`."""

from __future__ import annotations

import sys

from assistant.bench.acoustic.command import main

if __name__ == "__main__":
    sys.exit(main())
