"""Plans kept in the cache: settling thousands of phrases takes minutes, and changes nothing.

A plan is kept under a digest of everything that it follows from: the program with its tables and
grammar, the part, the size, the kinds, and the voices on this machine.
"""

from __future__ import annotations

import hashlib
import pickle
from collections.abc import Collection, Iterator
from pathlib import Path

from assistant.bench.acoustic import recorded
from assistant.bench.acoustic.desk import open_bench_desk
from assistant.bench.acoustic.parts import Size, declared
from assistant.bench.acoustic.plan import Plan, plan
from assistant.bench.acoustic.records import Kind, Part
from assistant.bench.acoustic.voices import is_here

_PACKAGE = Path(__file__).parents[2]
_FOLLOWS_FROM = ("bench/acoustic", "conversation", "data", "dosing", "language", "grammar")


def kept_plan(cache: Path, part: Part, size: Size, kinds: Collection[Kind]) -> Plan:
    """The plan from the cache, made first where it is not there yet."""
    path = cache / "plans" / f"{_digest(part, size, kinds)}.pickle"
    if path.is_file():
        found = pickle.loads(path.read_bytes())  # noqa: S301 - written by the lines below
        if isinstance(found, Plan):
            return found
    made = plan(open_bench_desk(), part, size, kinds)
    path.parent.mkdir(parents=True, exist_ok=True)
    whole = path.with_suffix(f".{id(made)}")
    whole.write_bytes(pickle.dumps(made))
    whole.replace(path)
    return made


def _digest(part: Part, size: Size, kinds: Collection[Kind]) -> str:
    here = [voice.key for voice in declared(part).voices if is_here(voice)]
    asked = (part, size, sorted(kinds), here, list(recorded.missing()))
    digest = hashlib.blake2b(repr(asked).encode(), digest_size=16)
    for path in _files():
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()


def _files() -> Iterator[Path]:
    for name in _FOLLOWS_FROM:
        # the grammar lies inside the package, or beside it in a checkout
        for root in (_PACKAGE / name, _PACKAGE.parent / name):
            yield from sorted(
                path for path in root.rglob("*") if path.suffix in {".py", ".toml", ".csv", ".jsgf"}
            )
