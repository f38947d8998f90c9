"""Changes to the keeper's medicines.toml that leave its comments and layout alone."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.adapters.home.folder import read_medicines
from assistant.dosing.medicine import Medicine, confirmation_fields
from assistant.errors import AssistantError

if TYPE_CHECKING:
    from tomlkit.items import Item, Key


@dataclass(frozen=True, slots=True)
class Vouching:
    """Who confirms the figures, and on which day."""

    by: str
    on: date


def with_confirmation(text: str, path: Path, medicine: Medicine, vouching: Vouching) -> str:
    """The file's text with the confirmation of one medicine written into its table.

    Raises DataProblem for a file that cannot be read, and AssistantError rather than give back a
    text that says anything but the old figures with this one confirmation.
    """
    before = read_medicines(text, path)
    place = next(count for count, one in enumerate(before) if one.name == medicine.name)
    fields = confirmation_fields(medicine, vouching.by, vouching.on)
    changed = _with_fields(text, place, fields)
    after = read_medicines(changed, path)
    same = [one.figures for one in before] == [one.figures for one in after]
    if not (same and after[place].is_confirmed and _others(before, place) == _others(after, place)):
        raise AssistantError(
            f"The confirmation could not be written into {path} without changing something else.",
            f"Nothing was changed. Write {dict(fields)} by hand.",
        )
    return changed


def _others(medicines: tuple[Medicine, ...], place: int) -> tuple[Medicine, ...]:
    return (*medicines[:place], *medicines[place + 1 :])


def _with_fields(text: str, place: int, fields: Mapping[str, str | date]) -> str:
    import tomlkit  # answers never need it; only a confirmation does

    document = tomlkit.parse(text)
    table = document["medicine"][place]
    body = table.value.body
    tail = _cut_tail(body)
    for key, value in fields.items():
        table[key] = value
    body.extend(tail)
    changed = tomlkit.dumps(document)
    all_crlf = text.count("\n") == text.count("\r\n") > 0
    return re.sub(r"(?<!\r)\n", "\r\n", changed) if all_crlf else changed


def _cut_tail(body: list[tuple[Key | None, Item]]) -> list[tuple[Key | None, Item]]:
    """Take off what follows the last key's own lines: it speaks of the next medicine."""
    start = len(body)
    for count in range(len(body) - 1, -1, -1):
        key, item = body[count]
        if key is not None:
            break
        if isinstance(item, _blank()):
            start = count
    tail = body[start:]
    del body[start:]
    return tail


def _blank() -> type[Item]:
    from tomlkit.items import Whitespace  # see above

    return Whitespace
