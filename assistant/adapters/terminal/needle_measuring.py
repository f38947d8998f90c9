"""The guided measuring of what a needle holds, by drawing water or by weighing it.

Several tries, their mean and how far they lie apart, what that means for small doses; and, if the
keeper wants it, the figure written into kit.toml, all else in the file left as it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from typing import Final

from assistant.adapters.home.filing import staged
from assistant.adapters.home.folder import Home
from assistant.adapters.home.toml_file import parse, read_text
from assistant.adapters.terminal.asking import Prompter, ask_until, ask_yes
from assistant.dosing.dead_volume import FEWEST_TRIES, Measurement, drawn, mean_of, weighed
from assistant.dosing.kit import Kit, read_kit
from assistant.dosing.needle import Needle, mistakes
from assistant.dosing.quantities import decimal_text
from assistant.errors import DataProblem

MOST_TRIES: Final = 12
_SHOWN_DOSES: Final = (Decimal("0.1"), Decimal("0.25"), Decimal("0.5"), Decimal(1))
_FIGURE: Final = r"([0-9]{1,4}(?:\.[0-9]{1,4})?)(?: ?(?:mL|g))?"
_TWO: Final = re.compile(rf"{_FIGURE}[ ,;]+{_FIGURE}")
_HOW: Final = {
    "draw": (
        "Take the syringe with the finest marks, and plain water.",
        "1. Fill the syringe without a needle to a mark, no air in it. Note the mark.",
        "2. Fit the needle, dry inside, and make sure that it is tight.",
        "3. Tip up, push until water stands at the tip, no further. Note the mark.",
        "4. Dry the needle: push air through it until nothing comes.",
    ),
    "weigh": (
        "Take a scale with steps of 0.01 g or finer, and plain water as warm as the room.",
        "1. Weigh the needle, dry inside and outside.",
        "2. Fill it with water until that stands at the tip and at the hub, and wipe it outside.",
        "3. Weigh it again.",
        "4. Dry the needle: push air through it until nothing comes.",
    ),
}
_ASKED: Final = {
    "draw": "both marks in mL, as in 1 0.79",
    "weigh": "dry and full in g, as in 4.31 4.52",
}


def measure_needle(home: Home, prompter: Prompter) -> None:
    """Lead through it; raises DataProblem, PartMissing or UsageProblem with the file unchanged."""
    kit = home.kit()
    place = _which(kit, prompter)
    needle = kit.needles[place]
    way = ask_until(
        prompter, "Draw water with a syringe, or weigh it? (draw or weigh)", "draw", _way
    )
    for line in _HOW[way]:
        prompter.say(line)
    found = _tries(prompter, way, _reckoned(prompter, way))
    _show(prompter, needle, found)
    if not found.agrees:
        prompter.say(
            "The tries are too far apart to be believed, so nothing is written. Try again with "
            "the needle quite dry and no air in the syringe."
        )
        return
    if ask_yes(prompter, f"Write {decimal_text(found.mean_ml)} mL for it into {home.kit_file}?"):
        _write(home, place, needle, found.mean_ml)
        prompter.say(f"Written: {needle.name} holds {decimal_text(found.mean_ml)} mL.")
    else:
        prompter.say("Nothing was written.")


def _which(kit: Kit, prompter: Prompter) -> int:
    """The place of the needle in the kit; asked for where there are several."""
    if len(kit.needles) == 1:
        return 0
    for number, needle in enumerate(kit.needles, start=1):
        usual = ", the one in use" if needle == kit.default_needle else ""
        prompter.say(f"{number}: {needle.name}, holds {decimal_text(needle.dead_ml)} mL{usual}")

    def numbered(answer: str) -> int:
        if answer not in map(str, range(1, len(kit.needles) + 1)):
            raise ValueError(f"Type a number from 1 to {len(kit.needles)}.")
        return int(answer) - 1

    usual = str(kit.needles.index(kit.default_needle) + 1)
    return ask_until(prompter, "Which needle? Its number", usual, numbered)


def _way(answer: str) -> str:
    if answer.casefold() not in _HOW:
        raise ValueError("Type draw or weigh.")
    return answer.casefold()


def _reckoned(prompter: Prompter, way: str) -> Callable[[Decimal, Decimal], Fraction]:
    """How two figures become a volume; the warmth of the water counts when it is weighed."""
    if way == "draw":
        return drawn

    def warm(answer: str) -> Decimal:
        celsius = _number(answer)
        weighed(Decimal(0), Decimal(1), celsius)
        return celsius

    celsius = ask_until(prompter, "How warm is the water, in degrees Celsius?", "20", warm)
    return lambda dry_g, full_g: weighed(dry_g, full_g, celsius)


def _tries(
    prompter: Prompter, way: str, reckoned: Callable[[Decimal, Decimal], Fraction]
) -> Measurement:
    """At least three tries; then as many more as the keeper wants."""
    tries: list[Fraction] = []

    def one(answer: str) -> Fraction | None:
        if not answer and len(tries) >= FEWEST_TRIES:
            return None
        two = _TWO.fullmatch(answer)
        if two is None:
            raise ValueError(f"Write {_ASKED[way]}")
        return reckoned(Decimal(two[1]), Decimal(two[2]))

    while len(tries) < MOST_TRIES:
        more = "" if len(tries) < FEWEST_TRIES else "; Enter if that is enough"
        answer = ask_until(prompter, f"Try {len(tries) + 1}: {_ASKED[way]}{more}", "", one)
        if answer is None:
            break
        tries.append(answer)
        prompter.say(f"  {decimal_text(mean_of([answer]).mean_ml)} mL")
    return mean_of(tries)


def _show(prompter: Prompter, needle: Needle, found: Measurement) -> None:
    """The mean and the spread, against what was reckoned with, and what it does to small doses."""
    mean, spread = decimal_text(found.mean_ml), decimal_text(found.spread_ml)
    prompter.say(
        f"{needle.name} holds {mean} mL: the mean of {len(found.tries)} tries, {spread} mL apart. "
        f"So far it was taken to hold {decimal_text(needle.dead_ml)} mL."
    )
    measured = Needle(needle.gauge, needle.length_mm, needle.hub_ml, found.mean_ml)
    for dose in _SHOWN_DOSES:
        dry, full, _ = mistakes(dose, measured)
        reaches, more = decimal_text(dry.delivered_ml), decimal_text(full.delivered_ml)
        prompter.say(
            f"  A dose of {decimal_text(dose)} mL: unprimed, {reaches} mL would reach the bird; "
            f"with a full needle filled past the mark, {more} mL."
        )


def _write(home: Home, place: int, needle: Needle, mean_ml: Decimal) -> None:
    """Write the figure to this needle of kit.toml; raises DataProblem if that is another by now."""
    import tomlkit  # only this writes into the file

    path = home.kit_file
    text = read_text(path)
    now = read_kit(parse(text, path), str(path))
    if now.needles[place : place + 1] != (needle,):
        raise DataProblem(
            f"The needles in {path} were changed while this one was measured.",
            f'Nothing was written. Write measured = "{decimal_text(mean_ml)} mL" by hand.',
        )
    document = tomlkit.parse(text)
    document["needle"][place]["measured"] = f"{decimal_text(mean_ml)} mL"
    changed = tomlkit.dumps(document)
    if read_kit(parse(changed, path), str(path)).needles[place].measured_ml != mean_ml:
        raise DataProblem(f"{path} could not be changed.", "Nothing was written.")
    with staged(path, changed) as waiting:
        waiting.take_place()


def _number(answer: str) -> Decimal:
    if not re.fullmatch(r"[0-9]{1,3}(?:\.[0-9]{1,2})?", answer):
        raise ValueError(f"“{answer}” is not a number such as 20")
    return Decimal(answer)
