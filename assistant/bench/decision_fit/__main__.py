"""The fitting's command: see `python -m assistant.bench.decision_fit --help`."""

from __future__ import annotations

import sys

from assistant.bench.decision_fit.command import main

if __name__ == "__main__":
    sys.exit(main())
