"""What the keeper works with: syringes, needles, scale, voice."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from assistant.dosing.measures import Liquid, NeedleChange, Pot, Pump
from assistant.dosing.names import spoken_form
from assistant.dosing.needle import HUB_ML, Needle
from assistant.dosing.quantities import Kind
from assistant.dosing.reminders import USUAL, Often, Reminder, read_reminders
from assistant.dosing.syringe import Fitting, Syringe
from assistant.dosing.tables import Table, present
from assistant.dosing.talking import TalkSettings, read_talk

_KEYS = (
    "keeper",
    "medicine",
    "scale_step",
    "rounding_limit_percent",
    "banding",
    "remind_every",
    "keep_recordings",
    "recordings_mb",
    "attention",
    "reminders",
    "holding",
    "vet",
    "droppings_every_days",
    "syringe",
    "needle",
    "change_needle",
    "pot",
    "pump",
    "spare_percent",
    "talk",
    "voice",
)
_TOO_MUCH_PERCENT = 100
SPARE_PERCENT = Decimal(10)
"""What is made up on top of what a round needs, in percent: common practice, no source."""

_ATTENTION = re.compile(r"(?=[a-z ]{4,30}\Z)[a-z]+(?: [a-z]+)?")
_CALLED = re.compile(r"[a-z]{2,20}(?: [a-z]{2,20})?")
_INSULIN = re.compile(r"\b(?:insulin|units?|iu|u-?[0-9]+)\b", re.IGNORECASE)
_MEASURE = 'Weigh the needle dry and full of water (1 g is 1 mL) and write measured = "0.2 mL".'


@dataclass(frozen=True, slots=True)
class Kit:
    """The keeper's things and settings.

    `scale_step_g` is the step of the scale in grams, `rounding_limit_percent` the error above
    which an answer warns, `banding` whether a round starts with weight bands on, and
    `remind_every` after how many birds the medicine is said again.  `voice_rate` is in words per
    minute; None leaves it to the voice.  `keep_recordings` is whether what is heard is kept, up to
    `recordings_mb` megabytes.  `attention` is the word, lower case, that spoken orders begin or end
    with; None heeds them without one.  `reminders` is what is said unasked, and how often.
    `holding` (name or address of the place) and `vet` head the records, and droppings are to be
    looked at every `droppings_every_days` (None: no reminder).  A plan of a round asks for `pots`
    and `pumps`, for when a needle is changed, and for what is made up to spare, in percent.  `talk`
    is how it talks aloud.
    """

    keeper: str
    syringes: tuple[Syringe, ...]
    needles: tuple[Needle, ...]
    default_needle: Needle
    scale_step_g: Decimal
    rounding_limit_percent: Decimal = Decimal(10)
    medicine: str | None = None
    banding: bool = False
    remind_every: int = 10
    voice: str | None = None
    voice_rate: int | None = None
    keep_recordings: bool = False
    recordings_mb: int = 200
    attention: str | None = None
    reminders: Mapping[Reminder, Often] = field(default_factory=lambda: USUAL)
    holding: str | None = None
    vet: str | None = None
    droppings_every_days: int | None = None
    pots: tuple[Pot, ...] = ()
    pumps: tuple[Pump, ...] = ()
    needle_change: NeedleChange = NeedleChange.ROUND
    spare_percent: Decimal = SPARE_PERCENT
    talk: TalkSettings = field(default_factory=TalkSettings)


def read_kit(table: Mapping[str, object], place: str) -> Kit:
    """Read kit.toml; raises FigureProblems with every problem in it.

    Keys: keeper, medicine, scale_step ("1 g"), rounding_limit_percent, banding, remind_every,
    keep_recordings, recordings_mb, attention, holding, vet, droppings_every_days, `[[syringe]]`
    capacity ("1 mL"), graduation ("0.01 mL") and fitting ("lock" or "slip"), `[[needle]]` gauge,
    length ("75 mm"), hub ("0.05 mL"), measured ("0.35 mL"), name, default = true (else the first),
    `[voice]` name and rate, `[talk]` as `read_talk` tells, and `[reminders]` as `read_reminders`
    tells; for a plan `[[pot]]` capacity and graduation, `[[pump]]` stroke ("2 mL") and of
    ("product" or "water"), change_needle ("round", "cage" or "bird") and spare_percent.
    """
    source = Table(table, place)
    source.allow_only(_KEYS)
    rows = source.rows("needle")
    needles = [_needle(row) for row in rows]
    keeper = source.text("keeper", needed=True)
    scale_step_g = source.size("scale_step", Kind.MASS, needed=True)
    syringes = tuple(filter(None, map(_syringe, source.rows("syringe"))))
    default_needle = _default_needle(source, rows, needles)
    _need_one(source, "syringe", "capacity and graduation")
    _need_one(source, "needle", "gauge and length")
    settings = _settings(source)
    source.finish()
    kit = Kit(
        keeper=present(keeper),
        syringes=syringes,
        needles=tuple(map(present, needles)),
        default_needle=present(default_needle),
        scale_step_g=present(scale_step_g),
    )
    return replace(kit, **settings)


def _need_one(source: Table, key: str, keys: str) -> None:
    if source.content.get(key, []) == []:
        source.wrong(key, f"there is no {key}", f"Add a [[{key}]] with its {keys}.")


def _settings(source: Table) -> dict[str, Any]:
    """The settings that the file holds; what it leaves out keeps its default."""
    voice = source.inner("voice") or Table({}, source.place, source.problems)
    voice.allow_only(("name", "rate"))
    reminders = source.inner("reminders")
    talk = source.inner("talk")
    found = {
        "rounding_limit_percent": source.number("rounding_limit_percent"),
        "medicine": source.text("medicine"),
        "banding": source.flag("banding"),
        "remind_every": source.whole("remind_every"),
        "keep_recordings": source.flag("keep_recordings"),
        "recordings_mb": source.whole("recordings_mb"),
        "attention": _attention(source),
        "reminders": read_reminders(reminders) if reminders else None,
        "holding": source.text("holding"),
        "vet": source.text("vet"),
        "droppings_every_days": source.whole("droppings_every_days"),
        "pots": tuple(filter(None, map(_pot, source.rows("pot")))),
        "pumps": tuple(filter(None, map(_pump, source.rows("pump")))),
        "needle_change": source.choice("change_needle", NeedleChange, NeedleChange.ROUND),
        "spare_percent": _spare(source),
        "talk": read_talk(talk) if talk else None,
        "voice": voice.text("name"),
        "voice_rate": voice.whole("rate"),
    }
    return {name: value for name, value in found.items() if value is not None}


def _attention(source: Table) -> str | None:
    """The attention word; one of few letters sounds like a part of too many others."""
    word = source.text("attention")
    if word is None or _ATTENTION.fullmatch(spoken_form(word)):
        return word and spoken_form(word)
    source.wrong(
        "attention",
        f"“{word}” cannot be the attention word",
        "Use one or two words of plain letters, four or more in all, such as marlow.",
    )
    return None


def _syringe(row: Table) -> Syringe | None:
    row.allow_only(("capacity", "graduation", "fitting"))
    if _in_insulin_units(row):
        row.wrong(
            "capacity",
            "a syringe marked in insulin units does not show mL",
            "Use a syringe marked in mL.",
        )
        return None
    capacity = row.size("capacity", Kind.VOLUME, needed=True)
    graduation = row.size("graduation", Kind.VOLUME, needed=True)
    fitting = row.choice("fitting", Fitting, Fitting.UNKNOWN)
    if capacity is None or graduation is None:
        return None
    try:
        return Syringe(capacity, graduation, fitting)
    except ValueError as problem:
        row.wrong("graduation", str(problem).removesuffix("."))
        return None


def _pot(row: Table) -> Pot | None:
    row.allow_only(("capacity", "graduation"))
    capacity = row.size("capacity", Kind.VOLUME, needed=True)
    graduation = row.size("graduation", Kind.VOLUME)
    if capacity is None:
        return None
    try:
        return Pot(capacity, graduation)
    except ValueError as problem:
        row.wrong("graduation", str(problem).removesuffix("."))
        return None


def _pump(row: Table) -> Pump | None:
    row.allow_only(("stroke", "of"))
    stroke = row.size("stroke", Kind.VOLUME, needed=True)
    row.missing("of", needed=True)
    return None if stroke is None else Pump(stroke, row.choice("of", Liquid, Liquid.PRODUCT))


def _spare(source: Table) -> Decimal | None:
    spare = source.number("spare_percent", zero=True) if "spare_percent" in source.content else None
    if spare is not None and spare > _TOO_MUCH_PERCENT:
        source.wrong("spare_percent", f"{spare} is more than {_TOO_MUCH_PERCENT}")
    return spare


def _in_insulin_units(row: Table) -> bool:
    """Whether a value names the units of insulin instead of mL."""
    return any(_INSULIN.search(str(value)) for value in row.content.values())


def _needle(row: Table) -> Needle | None:
    row.allow_only(("gauge", "length", "hub", "measured", "name", "default"))
    row.flag("default")
    gauge = row.whole("gauge", needed=True)
    length = row.size("length", Kind.LENGTH, needed=True)
    hub = row.size("hub", Kind.VOLUME)
    measured = row.size("measured", Kind.VOLUME)
    called = _called(row)
    if gauge is None or length is None:
        return None
    try:
        return Needle(gauge, length, HUB_ML if hub is None else hub, measured, called)
    except ValueError as problem:
        row.wrong("gauge", str(problem).removesuffix("."), _MEASURE)
        return None


def _called(row: Table) -> str:
    """The keeper's own word for a needle, as it is said."""
    word = row.text("name")
    if word is None or _CALLED.fullmatch(spoken_form(word)):
        return spoken_form(word or "")
    row.wrong(
        "name",
        f"“{word}” cannot be said for a needle",
        "Use one or two words of plain letters, such as long.",
    )
    return ""


def _default_needle(
    source: Table, rows: Sequence[Table], needles: Sequence[Needle | None]
) -> Needle | None:
    """The needle marked as the default, else the first."""
    marked = [
        needle
        for row, needle in zip(rows, needles, strict=True)
        if row.content.get("default") is True
    ]
    if len(marked) > 1:
        source.wrong("needle", "more than one needle is the default", "Mark only one of them.")
    return next(iter([*marked, *needles]), None)
