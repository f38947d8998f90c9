"""`dosewren check`: every part in turn, and what to do about the one that is missing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cached_property
from pathlib import Path

import click

from assistant.commands.name_check import checked
from assistant.dosing.medicine import ConfirmationState, Medicine
from assistant.dosing.quantities import rounded_text
from assistant.errors import AssistantError, EngineUnavailable, PartMissing
from assistant.ports import Ears, Voice
from assistant.wiring import (
    Desk,
    find_vosk,
    list_sound_devices,
    open_desk,
    open_ears,
    open_voice,
    which_ears,
)

_CONFIRMED = {
    ConfirmationState.CONFIRMED: "confirmed",
    ConfirmationState.UNCONFIRMED: "NOT confirmed: answers nothing. Run: dosewren confirm",
    ConfirmationState.EDITED_SINCE: "changed since it was confirmed: answers nothing. "
    "Run: dosewren confirm",
}


class Parts:
    """Ears and voice of the desk, opened once, when they are first wanted."""

    def __init__(self, desk: Desk, vosk: Path | None) -> None:
        self._desk = desk
        self._vosk = vosk

    @cached_property
    def ears(self) -> Ears:
        """The ears in use; raises EngineUnavailable."""
        return open_ears(self._desk, self._vosk)

    @cached_property
    def voice(self) -> Voice:
        """The voice in use; raises EngineUnavailable."""
        return open_voice(self._desk.holding.kit)


def check_everything(home: str | None, vosk: Path | None, *, all_names: bool = False) -> None:
    """Print one line for each part; raises PartMissing where a round could not be kept."""
    desk = open_desk(home)
    opened = Parts(desk, vosk)
    parts: dict[str, Callable[[], Iterator[str]]] = {
        "Home": lambda: _home(desk),
        "Register": lambda: _register(desk),
        "Ears": lambda: _ears(desk, opened, vosk),
        "Vosk": lambda: _vosk(desk, vosk),
        "Voice": lambda: _voice(opened),
        "Names": lambda: _names(desk, opened, all_names=all_names),
        "Devices": _devices,
    }
    missing = [name for name, lines in parts.items() if not _shown(name, lines)]
    if missing:
        raise PartMissing(
            f"Not everything is there: {', '.join(missing)}.",
            "Typing works without ears, voice and devices: run dosewren.",
        )


def _shown(name: str, lines: Callable[[], Iterator[str]]) -> bool:
    try:
        for line in lines():
            click.echo(f"{name:<9} {line}")
    except AssistantError as error:
        click.echo(f"{name:<9} MISSING: {error.problem}")
        click.echo(f"{'':<9} {error.remedy}")
        return False
    return True


def _home(desk: Desk) -> Iterator[str]:
    kit = desk.holding.kit
    yield f"{desk.home.path}, {kit.keeper}"
    yield f"syringes: {', '.join(one.name for one in kit.syringes)}"
    yield f"needle: {kit.default_needle.name}, holds {rounded_text(kit.default_needle.dead_ml)} mL"
    for medicine in desk.holding.medicines:
        yield _medicine(medicine)
    if kit.keep_recordings:
        yield f"what you say is kept in {desk.home.recordings_folder}: dosewren recordings"


def _medicine(medicine: Medicine) -> str:
    fictional = " (invented)" if medicine.fictional else ""
    state = _CONFIRMED[medicine.confirmation_state]
    return f"medicine: {medicine.name}{fictional}, {medicine.said_strength}; {state}"


def _register(desk: Desk) -> Iterator[str]:
    desk.register.check()
    yield f"{desk.home.register_file}, can be written"
    waiting = len(desk.register.pending())
    if waiting:
        yield f"{waiting} without an end: nobody said given, not given …"


def _ears(desk: Desk, opened: Parts, vosk: Path | None) -> Iterator[str]:
    ears = opened.ears
    in_use = which_ears(desk, vosk)
    yield f"{ears.name}, {ears.model}"
    yield f"{in_use.pair.name}: {in_use.why}"
    yield _voice_measured(desk)
    deaf = ears.deaf_to()
    if deaf:
        yield f"cannot hear: {', '.join(deaf)}. Type these, or say another name of the bird."
    else:
        yield "can hear every word that is taken for an order"


def _voice_measured(desk: Desk) -> str:
    found = desk.hearing.enrolled
    if found is None:
        return "not measured on your voice yet: dosewren enrol"
    return (
        f"your voice was measured on {found.measured}: {found.right} of {found.phrases} phrases "
        f"right at once, noise {found.noise_db:.0f} dB"
    )


def _vosk(desk: Desk, vosk: Path | None) -> Iterator[str]:
    model = find_vosk(desk, vosk)
    if model:
        yield f"model in {model}; whether it hears you better: dosewren measure"
    else:
        yield "no model, and none is needed. To try Vosk's ear: dosewren fetch"


def _voice(opened: Parts) -> Iterator[str]:
    yield opened.voice.name


def _names(desk: Desk, opened: Parts, *, all_names: bool) -> Iterator[str]:
    try:
        yield from checked(desk, opened.ears, opened.voice, everything=all_names)
    except EngineUnavailable:
        yield "cannot be listened to without ears and voice"


def _devices() -> Iterator[str]:
    devices = list_sound_devices()
    for device in devices:
        marks = " ".join(f"[default {direction}]" for direction in device.default_for)
        yield f"{device} {marks}".strip()
    for direction, kind in (("input", "microphone"), ("output", "speaker")):
        if not any(direction in device.default_for for device in devices):
            yield f"no default {kind}: dosewren talk needs one, typing does not"
