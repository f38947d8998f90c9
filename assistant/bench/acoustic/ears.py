"""Ears by name: those of the project, or anything with the Ears port as module:function."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from pathlib import Path

from assistant.errors import UsageProblem
from assistant.hearing.choosing import Ear
from assistant.ports import Ears
from assistant.wiring import Desk, Earbox, open_ears, word_sounds

Settings = Mapping[str, str]
Opener = Callable[[Desk, Settings], Ears]


def _usual(desk: Desk, settings: Settings) -> Ears:
    """The ears that a keeper of the demo home would have, without a Vosk model there."""
    _allow(settings)
    return open_ears(desk, None)


def _pocketsphinx(desk: Desk, settings: Settings) -> Ears:
    from assistant.adapters.ears.pocketsphinx import open_pocketsphinx  # noqa: PLC0415 - an ear is loaded when it is wanted

    _allow(settings)
    return open_pocketsphinx(desk.engine_grammar, word_sounds(desk).ours, desk.fit)


def _vosk(desk: Desk, settings: Settings) -> Ears:
    _allow(settings, "model")
    if "model" not in settings:
        raise UsageProblem("Vosk needs the folder of its model.", "Say --set model=FOLDER.")
    return Earbox(desk, Path(settings["model"])).one(Ear.VOSK)


def _moonshine(desk: Desk, settings: Settings) -> Ears:
    from assistant.adapters.ears.grammar_search import Limits  # noqa: PLC0415 - an ear is loaded when it is wanted
    from assistant.adapters.ears.moonshine import open_moonshine  # noqa: PLC0415 - the same

    _allow(settings, "model", "beam", "reach")
    limits = Limits(
        beam=round(_number(settings, "beam", Limits().beam)),
        reach=_number(settings, "reach", Limits().reach),
    )
    folder = Path(settings["model"]) if "model" in settings else None
    return open_moonshine(desk.lexicon, folder, limits)


def _number(settings: Settings, name: str, usual: float) -> float:
    try:
        return float(settings.get(name, usual))
    except ValueError as error:
        raise UsageProblem(
            f"{name} is a number, not {settings[name]}.", f"Say --set {name}={usual:g}."
        ) from error


def _allow(settings: Settings, *names: str) -> None:
    unknown = sorted(settings.keys() - set(names))
    if unknown:
        known = f"Known: {', '.join(names)}." if names else "Leave out --set."
        raise UsageProblem(f"These ears take no setting {unknown[0]}.", known)


NAMED: Mapping[str, Opener] = {
    "usual": _usual,
    "pocketsphinx": _pocketsphinx,
    "moonshine": _moonshine,
    "vosk": _vosk,
}
"""The ears that need no path; each is opened with the demo's desk and the settings of the run."""


def opener(name: str) -> Opener:
    """What opens the ears of this name; raises UsageProblem."""
    if name in NAMED:
        return NAMED[name]
    module, _, function = name.partition(":")
    if not function:
        raise UsageProblem(
            f"There are no ears called {name}.",
            f"Choose one of {', '.join(NAMED)}, or write module:function.",
        )
    try:
        found: Opener = getattr(import_module(module), function)
    except (ImportError, AttributeError) as error:
        raise UsageProblem(f"{name} cannot be opened: {error}.", "Check the name.") from error
    return found


def read_settings(pairs: tuple[str, ...]) -> dict[str, str]:
    """Settings as written on the command line, NAME=VALUE; raises UsageProblem."""
    wrong = [pair for pair in pairs if "=" not in pair]
    if wrong:
        raise UsageProblem(f"{wrong[0]} is no setting.", "Write it as NAME=VALUE.")
    return {name: value for name, _, value in (pair.partition("=") for pair in pairs)}
