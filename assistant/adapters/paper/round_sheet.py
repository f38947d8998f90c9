"""The round sheet: each bird with its syringe and two marks, to hang in the aviary and tick off."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from fractions import Fraction
from itertools import groupby
from typing import Final

from assistant.adapters.paper.pages import Content, Markup, joined, page, tag
from assistant.adapters.paper.syringe_drawing import Marks, drawn
from assistant.adapters.terminal.plan_lines import TIGHT, birds_said
from assistant.conversation.dose_reply import FICTIONAL
from assistant.dosing.dose import Dose, Refusal
from assistant.dosing.kit import Kit
from assistant.dosing.quantities import decimal_text, rounded_text
from assistant.planning.doses import PlannedBird, ToAsk
from assistant.planning.round_plan import Plan
from assistant.planning.small_doses import reading_error_percent

_STYLE: Final = """
@page { size: A4 portrait; margin: 11mm 9mm 11mm 9mm; }
* { box-sizing: border-box; }
body { font-family: "Noto Sans", "Liberation Sans", Arial, sans-serif; color: #000; margin: 0;
  font-size: 12pt; line-height: 1.25; max-width: 192mm; }
h1 { font-size: 22pt; margin: 0; }
h2 { font-size: 17pt; margin: 5mm 0 1mm; border-bottom: 1mm solid #000; break-after: avoid; }
p { margin: 1mm 0; }
.rules { border: 0.6mm solid #000; padding: 2mm 3mm; margin: 2mm 0 3mm; font-size: 13pt; }
.demo { font-size: 16pt; font-weight: bold; border: 1mm solid #000; padding: 1mm 3mm;
  text-align: center; margin: 2mm 0; }
.bird { border-bottom: 0.3mm solid #000; padding: 2mm 0 1.5mm; break-inside: avoid; }
.who { display: flex; justify-content: space-between; align-items: baseline; gap: 4mm; }
.who b { font-size: 17pt; }
.who .weight { font-size: 17pt; white-space: nowrap; }
.line { display: flex; justify-content: space-between; gap: 4mm; font-size: 12pt; }
.boxes { white-space: nowrap; }
.box { display: inline-block; width: 4.5mm; height: 4.5mm; border: 0.5mm solid #000;
  vertical-align: -0.8mm; margin: 0 1mm 0 4mm; }
.none { font-size: 14pt; font-weight: bold; }
.write { display: inline-block; min-width: 18mm; border-bottom: 0.4mm solid #000; }
svg.syringe { display: block; width: 190mm; height: 31.35mm; }
.barrel { fill: none; stroke: #000; stroke-width: 0.6; }
.hub { fill: #fff; stroke: #000; stroke-width: 0.5; }
.needle { stroke: #000; stroke-width: 1; }
.flange { stroke: #000; stroke-width: 1.4; }
.tick { stroke: #000; stroke-width: 0.2; }
.number { font-size: 3.8px; text-anchor: middle; }
.dose { fill: #c9c9c9; }
.mark.push { stroke: #000; stroke-width: 1.2; }
.mark.fill { stroke: #000; stroke-width: 0.8; stroke-dasharray: 1.6 1; }
.to { font-size: 8px; font-weight: bold; }
.to.fill { font-size: 6.4px; font-weight: normal; }
"""
_BLANK: Final = "\N{NO-BREAK SPACE}"


def round_sheet(plan: Plan, at: datetime, kit: Kit) -> str:
    """The page; birds without a dose have no marks on it."""
    limit = Fraction(kit.rounding_limit_percent)
    title = f"Round sheet, {plan.medicine.name}, {at:%Y-%m-%d}"
    return page(title, _STYLE, *_top(plan, at, kit.keeper), *_cages(plan, limit), _foot(plan))


def _top(plan: Plan, at: datetime, keeper: str) -> Iterator[Content]:
    medicine = plan.medicine
    yield tag("h1", f"{medicine.name}, {medicine.dilution.short}")
    yield tag("p", f"{medicine.dilution.parts}. {at.day} {at:%B %Y}. {keeper}.")
    if medicine.fictional:
        yield tag("p", FICTIONAL, class_="demo")
    shake = "Shake the pot before every draw. " if medicine.is_shaken else ""
    yield tag(
        "div",
        tag("p", tag("b", "Dry needle: "), "fill to the broken line, fit the needle, tip up, push "
            "until no air is left and the plunger stands at the thick line. ",
            tag("b", "Full needle: "), "fill to the thick line only."),
        tag("p", f"{shake}{TIGHT} The weight on this sheet is the bird's weight when it was "
            "listed. If it is another today, or if the voice or the label says otherwise, stop."),
        class_="rules",
    )  # fmt: skip


def _cages(plan: Plan, limit: Fraction) -> Iterator[Markup]:
    for cage, group in groupby(plan.birds, key=lambda one: one.bird.cage):
        birds = list(group)
        if cage:
            yield tag("h2", f"{cage}: {birds_said(len(birds))}")
        yield from (_bird(one, limit) for one in birds)


def _bird(planned: PlannedBird, limit: Fraction) -> Markup:
    bird = planned.bird
    name = ", ".join(filter(None, (bird.called, bird.species.spoken, bird.sex)))
    if bird.grams is None:
        weight: Content = joined(_space(), " g")
    else:
        weight = f"{decimal_text(bird.grams)} g"
    who = tag("div", tag("b", name), tag("span", weight, class_="weight"), class_="who")
    return tag("div", who, *_what(planned, limit), class_="bird")


def _what(planned: PlannedBird, limit: Fraction) -> Iterator[Markup]:
    match planned.outcome:
        case Dose() as dose:
            yield drawn(dose.syringe, Marks(dose.draw_to_ml, dose.volume_ml))
            volume = tag("b", f"{decimal_text(dose.volume_ml)} mL")
            yield _line(joined(volume, f" on the {dose.syringe.name}"))
            yield from (tag("p", text) for text in _warnings(dose, limit))
        case Refusal(said=said):
            yield tag("p", "No dose. ", said, class_="none")
        case ToAsk(said=said):
            yield tag("p", "No dose yet. ", said, class_="none")
        case _:
            yield drawn()
            blanks = joined("fill to ", _space(), " push to ", _space(), " syringe ", _space())
            yield _line(blanks)


def _warnings(dose: Dose, limit: Fraction) -> Iterator[str]:
    """What is said with the dose, and how far off the syringe may be where that is too much."""
    yield from (one.text for one in dose.warnings)
    error = reading_error_percent(dose)
    if error > limit:
        yield f"A small dose: on this syringe it may be {rounded_text(error, 0)} % off."


def _line(left: Content) -> Markup:
    """What stands under a syringe: the dose, and boxes for how it ended."""
    boxes = [joined(tag("span", class_="box"), text) for text in ("all in", "part", "not given")]
    return tag("div", tag("span", left), tag("span", *boxes, class_="boxes"), class_="line")


def _space() -> Markup:
    return tag("span", _BLANK, class_="write")


def _foot(plan: Plan) -> Markup:
    return tag(
        "p",
        f"{birds_said(len(plan.birds))}: {len(plan.dosed):,} with marks, {len(plan.unweighed):,} "
        f"to be weighed, {len(plan.questions):,} to look at again, {len(plan.refused):,} without "
        "a dose. Worked out for a dry needle that holds "
        f"{rounded_text(plan.needle.dead_ml)} mL ({plan.needle.name}).",
    )
