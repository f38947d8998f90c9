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

ROOT = Path(__file__).parents[2]
PARTS = {"conversation": "assistant.conversation", "phrase": "assistant.language"}
"""The part whose edges guide a target, where it is but one: twice as many runs as with all."""


def unwatched(target: str) -> list[str]:
    """The modules that are imported as they are."""
    paths = (path.relative_to(ROOT).with_suffix("") for path in ROOT.glob("assistant/**/*.py"))
    modules = [".".join(path.parts).removesuffix(".__init__") for path in paths]
    return [name for name in modules if not name.startswith(PARTS.get(target, "assistant"))]


with atheris.instrument_imports(["assistant", "tomllib", "csv"], unwatched("".join(sys.argv[1:2]))):
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
