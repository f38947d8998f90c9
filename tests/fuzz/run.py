"""Coverage-guided fuzzing: `python -m tests.fuzz.run TARGET [RUNS] [SECONDS] [BYTES]`.

Needs `pip install atheris` (Linux, and a Python that it has a wheel for).  Begins with the corpus
of the target, prints what libFuzzer prints (cov: the edges reached) and leaves an input that broke
something in the current folder: put it into the corpus, where test_corpus.py runs it for ever.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["assistant", "tomllib", "csv"]):
    from tests.fuzz.targets import TARGETS

CORPUS = Path(__file__).with_name("corpus")
HANGS_AFTER_S = 20


def main(name: str, runs: str = "1000000", seconds: str = "0", longest: str = "16384") -> None:
    """Fuzz one target for so many runs, or so many seconds; no input has more bytes than `longest`.

    A short longest input makes many more runs: a conversation of 32 bytes has a dozen turns.
    """
    found = tempfile.mkdtemp(prefix=f"fuzz-{name}-")
    options = [
        f"-runs={runs}",
        f"-max_total_time={seconds}",
        f"-timeout={HANGS_AFTER_S}",
        f"-max_len={longest}",
        "-print_final_stats=1",
    ]
    atheris.Setup([sys.argv[0], *options, found, str(CORPUS / name)], TARGETS[name])
    atheris.Fuzz()


if __name__ == "__main__":
    main(*sys.argv[1:])
