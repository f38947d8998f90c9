"""Corrections after a dose was given: another weight, or another bird.  Nothing is overwritten.

    that was eighty five, not ninety five ── a row that puts the weight right
    that was the other bird ──────────────── the dose scratched, and written for the right bird

The volume that was given stays what it was; what that meant for the bird is said plainly.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from assistant.conversation.answering import treatment_of
from assistant.conversation.ending import wrong_bird
from assistant.conversation.entries import (
    COUNTS_AS_FULL,
    IN_PLACE_OF,
    CorrectionEntry,
    DoseEnd,
    DoseEndEntry,
    DoseEntry,
)
from assistant.conversation.moment import Moment, Step, ask, net_grams, said, species_of
from assistant.conversation.sentences import (
    bird_name,
    grams_text,
    ml,
    named,
    species_name,
    weight_text,
    what,
)
from assistant.conversation.state import Ask, Dosed, Draft, Question, State, drafted
from assistant.conversation.turn import Facts, Reply, Status, Turn
from assistant.conversation.wanting import FIX, fix_weight
from assistant.dosing import limits
from assistant.dosing.days import day
from assistant.dosing.medicine import Medicine
from assistant.dosing.quantities import decimal_text, rounded_text, to_decimal
from assistant.language.requests import DoseWanted, Named, Weight, WeightFixed

VET = "Call the vet now."
"""Said of more than a limit allows; FOR A VET'S REVIEW, as the emergency line is."""

OTHER = "Say which bird it was, with its weight, or no."


def put_right(state: State, request: WeightFixed, moment: Moment) -> Step:
    """A weight put right: of the open dose, or, once that is confirmed, of the last one."""
    grams, instead = net_grams(request.weight, state), _net(request.instead, state)
    entry, last = state.open_dose, state.last
    if entry is not None and instead in (None, entry.grams):
        return fix_weight(state, (request.weight,), moment)
    counts = last is not None and state.last_end in COUNTS_AS_FULL
    if last is not None and counts and instead in (None, last.grams):
        if grams is None:
            return said(state, moment, "Say the whole weight in grams.", Ask.UNIT.value)
        said_of = f"{what(last)}, {_end(state).words}"
        text = f"{said_of}: was it {grams_text(grams)}, not {grams_text(last.grams)}?"
        question = Question(Ask.AFTERWARDS, options=(request,), behind=state.question)
        return ask(state, moment, question, text)
    if entry is not None:
        return ask(state, moment, Question(Ask.FIX), f"The dose is for {what(entry)}. {FIX}")
    if last is not None and counts:
        text = f"The last dose was for {what(last)}. Say that was, and the right weight."
        return said(state, moment, text, "nothing_open")
    text = "No dose is open. To correct the last one, say scratch that, then the bird again."
    return said(state, moment, text, "nothing_open")


def _end(state: State) -> DoseEnd:
    """How the last dose ended."""
    return state.last_end or DoseEnd.GIVEN


def _net(weight: Weight | None, state: State) -> Decimal | None:
    return None if weight is None else net_grams(weight, state)


def weight_afterwards(state: State, moment: Moment) -> Step:
    """Yes: the last dose was for a bird of another weight."""
    question, last = state.question, state.last
    request = question.options[0] if question else None
    if question is None or last is None or not isinstance(request, WeightFixed):
        raise LookupError("no correction was asked about")
    grams, back = net_grams(request.weight, state), replace(state, question=question.behind)
    species = moment.setting.lexicon.aviary.species(last.species)
    step_g = moment.setting.kit.scale_step_g
    if grams is None:
        return said(back, moment, "Say the whole weight in grams.", Ask.UNIT.value)
    if refusal := limits.implausible_weight(species, grams, step_g):
        return said(back, moment, refusal.said, refusal.reason.value)
    fixed = replace(last, grams=grams)
    row = CorrectionEntry(
        moment.at, moment.setting.round_id, last.dose_id, "grams",
        decimal_text(last.grams), decimal_text(grams), "said afterwards",
    )  # fmt: skip
    dosed = _weighed(back, fixed)
    text = f"Put right: {what(fixed)}, {_end(state).words}. {_verdict(fixed, state, moment)}"
    reply = Reply(text)
    turn = Turn(Status.COMMAND, moment.intent, reply, facts=_facts(fixed), entries=(row,))
    return replace(back, last=fixed, dosed=dosed, repeatable=reply), turn


def _weighed(state: State, entry: DoseEntry) -> dict[tuple[str, str], Dosed]:
    """The last doses, with the weight that a named bird had at this one."""
    dosed, key = dict(state.dosed), (entry.bird or "", entry.medicine)
    if key in dosed:
        dosed[key] = replace(dosed[key], grams=entry.grams)
    return dosed


def _facts(entry: DoseEntry) -> Facts:
    return Facts(entry.species, entry.bird, entry.grams, entry.medicine)


def _medicine(entry: DoseEntry, moment: Moment) -> Medicine | None:
    return next((one for one in moment.setting.medicines if one.name == entry.medicine), None)


def _verdict(entry: DoseEntry, state: State, moment: Moment) -> str:
    """What the volume that was given meant for a bird of this weight."""
    medicine, most = _medicine(entry, moment), state.last_end is not DoseEnd.GIVEN
    if medicine is None:
        return "Work out on paper what it should have had."
    right = medicine.working_ml_per_g * Fraction(entry.grams)
    off = (Fraction(entry.volume_ml) / right - 1) * 100
    nearest = Fraction(state.syringe.graduation_ml) / 2 if state.syringe else Fraction(0)
    if abs(Fraction(entry.volume_ml) - right) <= nearest:
        return "That is the right dose for this weight too."
    start = "It had at most" if most else "It had"
    share = rounded_text(abs(off), 0)
    if off < 0:
        return f"It had {share} % too little: no top-up."
    text = f"{start} {share} % too much: {rounded_text(right, 2)} mL was right."
    return f"{text} {VET}" if _past_a_limit(entry, medicine, off, moment) else text


def _past_a_limit(entry: DoseEntry, medicine: Medicine, off: Fraction, moment: Moment) -> bool:
    """Whether an overdose passes the label's most, the safety multiple, or what a crop takes.

    Where no multiple is known, more than a dose may be off by rounding is past it.
    """
    grams, volume = entry.grams, entry.volume_ml
    unknown = medicine.safety_multiple is None
    return bool(
        medicine.label.is_maximum
        or (unknown and off > Fraction(moment.setting.kit.rounding_limit_percent))
        or limits.over_margin(volume, Fraction(grams), medicine)
        or limits.over_crop(Fraction(volume), grams)
    )


def other_bird(state: State, moment: Moment) -> Step:
    """That was the other bird: the open dose is void; of one that was given it is asked whose."""
    if state.pending is not None:
        return wrong_bird(state, moment)
    last = state.last
    if last is None or state.last_end not in COUNTS_AS_FULL:
        return said(state, moment, "No dose was given yet.", "nothing_open")
    who = last.bird or last.species
    text = f"The {ml(last.volume_ml)} given as for {who}: which bird had it? {OTHER}"
    return ask(state, moment, Question(Ask.OTHER_BIRD), text)


def whose_it_was(state: State, told: DoseWanted, moment: Moment) -> Step:
    """The bird that had the last dose, once it is told whole; asked again until then."""
    question, last = state.question, state.last
    if question is None or last is None or state.last_end is None:
        raise LookupError("nothing was asked about another bird")
    wanted = _with_bird(told, question)
    if len(wanted.named) == 1 and not wanted.weights:
        waiting = replace(question, options=(wanted,))
        return ask(state, moment, waiting, f"{named(wanted.named[0])}: what did it weigh?")
    grams = net_grams(wanted.weights[0], state) if len(wanted.weights) == 1 else None
    if len(wanted.named) != 1 or grams is None or wanted.weights[0].guessed:
        heard = " ".join([wanted.spoken, *map(weight_text, wanted.weights)]).strip()
        return ask(state, moment, question, f"Not clear: {heard or 'that'}. {OTHER}")
    one = wanted.named[0]
    species = species_of(one, moment.setting)
    if refusal := limits.implausible_weight(species, grams, moment.setting.kit.scale_step_g):
        return ask(state, moment, question, f"{refusal.said} {OTHER}")
    if (bird_name(one), species.name, grams) == (last.bird, last.species, last.grams):
        return said(replace(state, question=None), moment, "It stands like that already.")
    return _swapped(state, last, _Right(one, grams, drafted(wanted)), moment)


def _with_bird(told: DoseWanted, question: Question) -> DoseWanted:
    """What is told, with the bird that was told before it where it is a weight alone."""
    before = question.options[0] if question.options else None
    if isinstance(before, DoseWanted) and not told.named:
        return replace(told, named=before.named, spoken=before.spoken)
    return told


@dataclass(frozen=True, slots=True)
class _Right:
    """The bird that had a dose, its weight in grams, and what was said of it."""

    one: Named
    grams: Decimal
    draft: Draft


def _swapped(state: State, last: DoseEntry, right: _Right, moment: Moment) -> Step:
    """The dose scratched where it was written wrong, and written anew for the right bird."""
    round_id, end = moment.setting.round_id, _end(state)
    medicine = _medicine(last, moment) or state.medicine
    exact = medicine.working_ml_per_g * Fraction(right.grams) if medicine else None
    entry = replace(
        last, at=moment.at, round_id=round_id, dose_id=f"{round_id}-{state.doses + 1}",
        species=species_name(right.one), bird=bird_name(right.one), grams=right.grams,
        exact_ml=last.exact_ml if exact is None else to_decimal(exact), band=None,
    )  # fmt: skip
    scratched = DoseEndEntry(
        moment.at, round_id, last.dose_id, DoseEnd.SCRATCHED, f"other bird: {entry.dose_id}"
    )
    ended = DoseEndEntry(moment.at, round_id, entry.dose_id, end, f"{IN_PLACE_OF}{last.dose_id}")
    of_then = replace(state, medicine=medicine)
    kept = treatment_of(entry, of_then, moment, right.one, right.draft)
    double = _had_already(state, entry, moment)
    after = replace(
        state, question=None, last=entry, doses=state.doses + 1,
        dosed=_moved(state, last, entry), previous=right.one,
    )  # fmt: skip
    free = f"{last.bird} had none of it. " if last.bird else ""
    text = f"Put right: {what(entry)}, {end.words}. {free}"
    reply = Reply(f"{text}{double or _verdict(entry, state, moment)}")
    turn = Turn(
        Status.COMMAND, moment.intent, reply, facts=_facts(entry),
        entries=(scratched, entry, kept, ended),
    )  # fmt: skip
    return replace(after, repeatable=reply), turn


def _moved(state: State, last: DoseEntry, entry: DoseEntry) -> dict[tuple[str, str], Dosed]:
    dosed = dict(state.dosed)
    dosed.pop((last.bird or "", last.medicine), None)
    if entry.bird:
        dosed[entry.bird, entry.medicine] = Dosed(entry.at, entry.volume_ml, entry.grams)
    return dosed


def _had_already(state: State, entry: DoseEntry, moment: Moment) -> str:
    """What to say of a bird that turns out to have had two doses before its day."""
    before = state.dosed.get((entry.bird or "", entry.medicine))
    medicine = _medicine(entry, moment)
    if before is None or medicine is None:
        return ""
    given = before.at.astimezone(moment.at.tzinfo)
    if moment.at.date() >= medicine.due_from(given.date()):
        return ""
    return (
        f"{entry.bird} had {ml(before.volume_ml)} on {day(given)} already: that is a double dose. "
        f"{VET}"
    )
