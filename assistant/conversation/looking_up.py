"""Questions that change nothing: the last dose, when a bird is due, which cages are left, a mix."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from fractions import Fraction

from assistant.conversation.dose_reply import FICTIONAL
from assistant.conversation.drafting import CONFIRM, no_medicine
from assistant.conversation.moment import Moment, Step, said
from assistant.conversation.rounds import for_open_dose, say_remaining
from assistant.conversation.sentences import bird_name, either, ml, species_name, what
from assistant.conversation.state import Dosed, State
from assistant.conversation.stocking import WRITE_DOWN
from assistant.conversation.tally import known_cages, left_in, may_be_left
from assistant.dosing.days import day
from assistant.dosing.dilution import Dilution
from assistant.dosing.dose_end import COUNTS_AS_FULL
from assistant.dosing.for_record import withdrawal_text
from assistant.dosing.limits import unconfirmed
from assistant.dosing.quantities import decimal_text
from assistant.language.requests import LookUp, Named, Sought
from assistant.records.due import Repeat, grouped
from assistant.records.due_sentences import due_lines

NO_DOSE_YET = "No dose was given in this round. Earlier ones are in dosewren register."
NOT_READ = "The register cannot be read, so I cannot say when."
NOT_AGAIN = "No next dose of it is open: its course is done, or the label gives no day."
ALL_DONE = "All cages that I know of are done."
ON_PAPER = (
    "That is done on the computer: dosewren plan for sheets and labels, dosewren records for the "
    "record, dosewren droppings, dosewren backup."
)
MOST_SAID = 4


def look_up(state: State, moment: Moment, request: LookUp) -> Step:
    """Answer it; nothing that is open is closed by it."""
    return _LOOKED_UP[Sought(request.kind)](state, moment, request)


def last_dose(state: State, moment: Moment, request: LookUp) -> Step:  # noqa: ARG001 - all look-ups are called alike
    """The open dose with how to draw it, and the one before with how it ended."""
    texts = []
    if state.open_dose is not None:
        with_it = f" Use the {state.syringe.name}." if state.syringe else ""
        texts.append(f"Open:{for_open_dose(state, '')}{with_it}")
    if state.last is not None and state.last_end is not None:
        texts.append(
            f"The last one: {what(state.last)} of {state.last.medicine}, {state.last_end.words}."
        )
    return said(state, moment, " ".join(texts) or NO_DOSE_YET)


def done_yet(state: State, moment: Moment, request: LookUp) -> Step:
    """The last dose that these birds had of each medicine, as far as that is known here."""
    zone = moment.at.tzinfo
    lines = [
        f"{who}: {ml(dosed.volume_ml)} of {medicine} on {day(dosed.at.astimezone(zone))}."
        for who, medicine, dosed in _had(state, moment, request.named)
    ]
    if lines:
        return said(state, moment, " ".join(lines[-MOST_SAID:]))
    who = either(bird_name(one) or species_name(one) for one in request.named)
    return said(
        state, moment, f"{who}: I know of no dose. Earlier rounds are in dosewren register."
    )


def _had(
    state: State, moment: Moment, named: tuple[Named, ...]
) -> Iterator[tuple[str, str, Dosed]]:
    """Whose dose, of what, and the dose: named birds first, then the last without a name."""
    names = {bird_name(one) for one in named} - {None}
    kinds = {species_name(one) for one in named if bird_name(one) is None}
    for bird in moment.setting.lexicon.aviary.birds:
        if bird.name in names or bird.species in kinds:
            names.add(bird.name)
    for (bird_said, medicine), dosed in state.dosed.items():
        if bird_said in names:
            yield bird_said, medicine, dosed
    for (species, medicine), dosed in state.unnamed.items():
        if species in kinds:
            yield f"The last {species} without a name", medicine, dosed


def due_of(state: State, moment: Moment, request: LookUp) -> Step:
    """When the named bird, or the one of the last dose, is due again."""
    if state.windows is None:
        return said(state, moment, NOT_READ, "register")
    if not request.named and (state.last is None or state.last_end not in COUNTS_AS_FULL):
        return said(state, moment, NO_DOSE_YET)
    windows = [one for one in state.windows if _is_of(one, state, request.named)]
    if not windows:
        return said(state, moment, NOT_AGAIN)
    lines = due_lines(grouped(windows), moment.at.date())
    return said(state, moment, " ".join(lines[:MOST_SAID]))


def _is_of(window: Repeat, state: State, named: tuple[Named, ...]) -> bool:
    whose = window.after.whose
    if not named:
        return state.last is not None and window.after.dose_id == state.last.dose_id
    return any(
        whose.species == species_name(one) and bird_name(one) in (None, whose.bird) for one in named
    )


def cages_left(state: State, moment: Moment, request: LookUp) -> Step:  # noqa: ARG001 - as above
    """The cages in which a bird is left, or may be."""
    cages = known_cages(state, moment)
    if not cages:
        return say_remaining(state, moment)
    left = [left_in(state, moment, cage) for cage in cages if may_be_left(state, moment, cage)]
    return said(state, moment, " ".join(left) or ALL_DONE)


def cage_left(state: State, moment: Moment, request: LookUp) -> Step:
    """Who is left in one cage."""
    return said(state, moment, left_in(state, moment, request.cage))


def to_make(state: State, moment: Moment, request: LookUp) -> Step:
    """How much product and water make so much of the round's medicine."""
    medicine, volume = state.medicine, request.ml or Decimal(0)
    if medicine is None:
        return said(state, moment, no_medicine(moment.setting))
    if refusal := unconfirmed(medicine):
        return said(state, moment, f"{refusal.said} {CONFIRM}", refusal.reason.value)
    if not volume:
        return said(state, moment, "How many mL?")
    text = f"{decimal_text(volume)} mL of {medicine.name}, {medicine.dilution.short}: "
    text += f"{_parts(medicine.dilution, volume)} {WRITE_DOWN}"
    return said(state, moment, f"{text} {FICTIONAL}" if medicine.fictional else text)


def _parts(dilution: Dilution, volume: Decimal) -> str:
    if not dilution.water:
        return "it is given undiluted."
    product, water = dilution.product_for(volume), dilution.water_for(volume)
    if not _is_exact(product):
        whole = decimal_text(dilution.whole)
        return f"that does not divide. Make {whole} mL, or a multiple of it: {dilution.parts}."
    return f"{decimal_text(product)} mL of product and {decimal_text(water)} mL of water."


def _is_exact(volume: Fraction) -> bool:
    """Whether it has no more than two decimals, so that it is said as it is."""
    return (volume * 100).denominator == 1


def batch_made(state: State, moment: Moment, request: LookUp) -> Step:  # noqa: ARG001 - as above
    """A batch is written down on the computer."""
    return said(state, moment, f"{WRITE_DOWN} Then say batch, and its number.")


def on_paper(state: State, moment: Moment, request: LookUp) -> Step:  # noqa: ARG001 - as above
    """What is printed, exported or backed up is done elsewhere."""
    return said(state, moment, ON_PAPER)


def eaten(state: State, moment: Moment, request: LookUp) -> Step:  # noqa: ARG001 - as above
    """For how long after a dose of the round's medicine eggs and meat are not to be eaten."""
    medicine = state.medicine
    if medicine is None:
        return said(state, moment, no_medicine(moment.setting))
    if refusal := unconfirmed(medicine):
        return said(state, moment, f"{refusal.said} {CONFIRM}", refusal.reason.value)
    text = f"{medicine.name}. {withdrawal_text(medicine.record)}"
    return said(state, moment, f"{text} {FICTIONAL}" if medicine.fictional else text)


_LOOKED_UP: Mapping[Sought, Callable[[State, Moment, LookUp], Step]] = {
    Sought.LAST_DOSE: last_dose,
    Sought.DONE_YET: done_yet,
    Sought.DUE_OF: due_of,
    Sought.CAGES_LEFT: cages_left,
    Sought.CAGE_LEFT: cage_left,
    Sought.TO_MAKE: to_make,
    Sought.BATCH_MADE: batch_made,
    Sought.ON_PAPER: on_paper,
    Sought.EATEN: eaten,
}
