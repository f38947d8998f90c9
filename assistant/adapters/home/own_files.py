"""The keeper's files as setup first writes them, each key with a comment above it."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from assistant.adapters.home.setup_questions import KIT, MEDICINE, Asked, Value
from assistant.dosing.quantities import decimal_text

_MEDICINES_HEAD: Final = (
    "# Your medicines.  The figures are the label's or your vet's; none is built in.",
    "# After a change of any figure, run: dosewren confirm",
    "",
)

BIRDS_TEXT: Final = """\
# Your own names, birds and species, where the table of species does not have them.
# Take the # away from the lines you need.

# [aliases]
# "my word for it" = "Cockatiel"

# [[bird]]
# name = "a name"
# ring = "a ring number"
# species = "Cockatiel"

# [[species]]
# name = "A species of your own"
# aliases = ["another word for it"]
# group = "small parrot"
# low = "40 g"         # the usual weights of healthy adults
# high = "60 g"
# crop = "unknown"     # "true", "none" or "unknown"; without a true crop no dose is answered
"""


def kit_text(answers: Mapping[str, Value]) -> str:
    """A kit.toml with these answers: the plain keys, then the tables, as TOML wants it."""
    lines = ["# What you work with."]
    for asked in KIT:
        value = answers.get(asked.key)
        lines += ["", *_comment(asked.comment)]
        lines += _tables(asked.key, value) if isinstance(value, list) else [_line(asked, value)]
    return "\n".join([*lines, ""])


def medicines_text(answers: Mapping[str, Value] | None) -> str:
    """A medicines.toml with this medicine, not confirmed; or with none yet, ready to be filled."""
    lines = ["[[medicine]]"]
    for asked in MEDICINE:
        value = None if answers is None else answers.get(asked.key)
        lines += [*_comment(asked.comment), _line(asked, value), ""]
    lines[-1:] = _comment("Written by dosewren confirm; a change of any figure makes it void.")
    if answers is None:
        lines = [line if line.startswith("#") or not line else f"# {line}" for line in lines]
    return "\n".join([*_MEDICINES_HEAD, *lines, ""])


def _comment(text: str) -> list[str]:
    return [f"# {line}" for line in text.split("\n")]


def _line(asked: Asked, value: Value | None) -> str:
    if value is None:
        return f"# {asked.key} = {asked.example}"
    return f"{asked.key} = {_toml(value)}"


def _tables(key: str, rows: list[Value]) -> list[str]:
    lines = []
    for row in rows:
        if isinstance(row, dict):
            lines += [f"[[{key}]]", *(f"{name} = {_toml(one)}" for name, one in row.items()), ""]
    return lines[:-1]


def _toml(value: Value) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case int() | Decimal():
            return decimal_text(Decimal(value))
        case list():
            return f"[{', '.join(map(_toml, value))}]"
        case dict():
            return "{ " + ", ".join(f"{key} = {_toml(one)}" for key, one in value.items()) + " }"
        case _:
            import tomlkit  # answers never need it; only setup does

            return tomlkit.string(value).as_string()
