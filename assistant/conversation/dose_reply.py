"""The answer that matters: what was heard, the volume, and what to do with the needle.

Said in this order, always: the bird and its weight first (the read-back), then the volume, then
the priming.  The eye gets the same facts with the arithmetic behind them.  Short answers leave out
what a keeper knows by heart after the first birds, and never the read-back, the volume, a priming
that is due, a warning or that the medicine is invented.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, Decimal
from fractions import Fraction

from assistant.conversation.sentences import grams_text, ml, named, percent
from assistant.conversation.turn import Reply
from assistant.dosing.dose import Dose, DoseWarning, Notice
from assistant.dosing.medicine import Medicine
from assistant.dosing.needle import Needle, NeedleState
from assistant.dosing.quantities import decimal_text
from assistant.language.requests import Named

FICTIONAL = "Demo medicine, never for a real bird."


@dataclass(frozen=True, slots=True)
class Answer:
    """All that a dose reply is made from.

    `say_medicine` and `say_syringe` are whether these changed or are due to be said again;
    `tare_g` is the bag that was taken off, in grams; `one_shot` adds what a full needle changes;
    `refitted` is whether a needle that was not dry goes onto another syringe, and `shake` whether
    to remind of that for this draw.
    """

    one: Named
    grams: Decimal
    dose: Dose
    medicine: Medicine
    needle: Needle
    state: NeedleState
    say_medicine: bool
    say_syringe: bool
    corrected: bool
    tare_g: Decimal | None
    one_shot: bool
    refitted: bool
    shake: bool
    short: bool


def dose_reply(answer: Answer) -> Reply:
    """The reply for the ear and for the eye."""
    said = [_read_back(answer), _volume(answer)]
    if answer.say_syringe:
        said.append(f"Use the {answer.dose.syringe.name}.")
    said += _band(answer)
    if answer.shake:
        said.append("Shake it.")
    dose = answer.dose
    said.append(
        _refit(dose)
        if answer.refitted
        else priming(dose.volume_ml, dose.draw_to_ml, dose.dead_ml, answer.state)
    )
    if answer.one_shot and answer.state is not NeedleState.FULL:
        said.append(f"Needle already full: draw to {ml(answer.dose.volume_ml)} only.")
    said += filter(None, (_warning(answer, one) for one in dose.warnings))
    if answer.medicine.fictional:
        said.append(FICTIONAL)
    spoken = " ".join(_shortened(answer, said) if answer.short else said)
    return Reply(spoken, "\n".join((*said, *_behind(answer))))


def _shortened(answer: Answer, said: list[str]) -> list[str]:
    """The same sentences with fewer words."""
    dose = answer.dose
    fewer = {
        f"Use the {dose.syringe.name}.": f"{_capital(dose.syringe.name)}.",
        _volume(answer): _volume(answer).replace(f", {answer.medicine.dilution.short}.", "."),
        priming(dose.volume_ml, dose.draw_to_ml, dose.dead_ml, NeedleState.FULL): "Needle full.",
        f"Dry needle: {_push_out(ml(dose.draw_to_ml), ml(dose.volume_ml))}": (
            f"Dry needle: draw to {decimal_text(dose.draw_to_ml)}, fit, tip up, air out, "
            f"stop at {ml(dose.volume_ml)}."
        ),
        "Shake it.": "Shake.",
        FICTIONAL: "Demo medicine.",
    }
    return [fewer.get(one, one) for one in said]


def _capital(name: str) -> str:
    return name[:1].upper() + name[1:]


def _warning(answer: Answer, warning: DoseWarning) -> str | None:
    if warning.kind is not Notice.CAUTION:
        return warning.text
    # in a round it was asked about, and said yes to, before the dose was worked out
    return f"Caution: {warning.text}" if answer.one_shot else None


def _read_back(answer: Answer) -> str:
    start = "Corrected: " if answer.corrected else ""
    said = f"{start}{named(answer.one)}, {grams_text(answer.grams)}"
    if not answer.tare_g:
        return f"{said}."
    with_bag = decimal_text(answer.grams + answer.tare_g)
    return f"{said}: {with_bag} less {decimal_text(answer.tare_g)} for the bag."


def _volume(answer: Answer) -> str:
    volume = ml(answer.dose.volume_ml)
    if not answer.say_medicine:
        return f"{volume}."
    how = answer.medicine.dilution.short
    return f"{volume} of {answer.medicine.name}, {how}."


def _band(answer: Answer) -> list[str]:
    band = answer.dose.band
    if band is None:
        return []
    side = "over" if band.excess_percent > 0 else "under"
    off = f"{percent(band.excess_percent)} {side} its own weight's dose"
    if not band.excess_percent:
        off = "the same as for its own weight"
    return [f"Dosed in the band of {decimal_text(band.grams)} grams, {off}."]


def _refit(dose: Dose) -> str:
    """What to do with a full needle that goes onto another syringe.

    It takes in air at its hub, so that the surplus is pushed out as for a dry one; the plunger at
    the mark is right for both.
    """
    return f"Move the needle to it: {_push_out(ml(dose.draw_to_ml), ml(dose.volume_ml))}"


def priming(volume_ml: Decimal, draw_to_ml: Decimal, dead_ml: Decimal, state: NeedleState) -> str:
    """What to do with the needle for this dose, which depends on what is in it."""
    mark, past = ml(volume_ml), ml(draw_to_ml)
    match state:
        case NeedleState.FULL:
            return f"Needle full: draw to {mark} only."
        case NeedleState.RINSED:
            return (
                f"Rinsed needle: rinse it clear, empty it, draw to {past}, fit it, and push at "
                f"least {ml(_hundredth(dead_ml, ROUND_CEILING))} out to waste, tip up, "
                f"until the plunger stands at {mark}."
            )
        case _:
            return f"Dry needle: {_push_out(past, mark)}"


def _push_out(past: str, mark: str) -> str:
    return f"draw to {past}, fit it, tip up, push all air out, stop at {mark}."


def _hundredth(volume: Decimal, rounding: str = ROUND_HALF_EVEN) -> Decimal:
    return volume.quantize(Decimal("0.01"), rounding)


def _of_band(answer: Answer) -> str:
    """What a bird of the band's weight would get: the mark is rounded from that."""
    if answer.dose.band is None:
        return ""
    of_band = answer.medicine.working_ml_per_g * Fraction(answer.dose.band.grams)
    return f", in its band {decimal_text(round(of_band, 4))} mL"


def _behind(answer: Answer) -> list[str]:
    """What only the eye gets: the arithmetic, and what a mistake with the needle would do."""
    dose, medicine = answer.dose, answer.medicine
    exact = f"exact {decimal_text(round(dose.exact_ml, 4))} mL{_of_band(answer)}"
    rounding = decimal_text(dose.rounding_percent)
    lines = [
        f"  {medicine.name} {medicine.said_strength}; label {medicine.label.said}",
        f"  {exact}, on the {dose.syringe.name} {ml(dose.volume_ml)} ({rounding} %)",
    ]
    if answer.state is not NeedleState.FULL:
        left = max(dose.volume_ml - dose.dead_ml, Decimal(0))
        reaching = f"only {ml(_hundredth(left))}" if left else "nothing"
        lines.append(
            f"  needle {answer.needle.name} holds {ml(_hundredth(dose.dead_ml))}: "
            f"unprimed, {reaching} would reach the bird"
        )
    return lines
