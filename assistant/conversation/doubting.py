"""The shortest question about what an ear is not sure of.

    bird and weight heard ── only one differs among what it may have been ── which of these?
                          ├─ both differ ──────────── the one that settles more, then the other
                          └─ nothing differs ──────── did you say that bird and that weight?
    an answer to a question ──────────────────────── the same, with what was settled before
    yes or no ────────────────────────────────────── was that yes or no?
    anything else ────────────────────────────────── did you say …?

What comes of it is a draft with unsure parts, and `drafting` says no dose while there are any.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from assistant.conversation.drafting import advance
from assistant.conversation.meant import meant
from assistant.conversation.moment import Moment, Step, ask, net_grams, species_of
from assistant.conversation.rivals import mass
from assistant.conversation.state import BOTH, Ask, Draft, Part, Reading, State, drafted
from assistant.dosing.species import Plausibility
from assistant.language.heard import Alternative, Channel, Heard
from assistant.language.requests import (
    DoseWanted,
    Named,
    Plain,
    Request,
    Weight,
    WeightFixed,
    intent_of,
)
from assistant.language.understanding import understand

SURE_ENOUGH = 0.5
"""Below this probability what an ear heard is asked about: it is more likely wrong than right."""

RIVAL = 0.1
"""The share of belief from which another reading is named in the question; a choice of this tool:
what is less likely is not worth the breath, and "no" is a short answer too."""

MOST_RIVALS = 3
"""How many readings one question names: more are not kept in mind with a bird in the hand."""

_OF_THE_BIRD = frozenset(
    {Ask.NO_WEIGHT, Ask.TWO_WEIGHTS, Ask.GUESS, Ask.ODD_WEIGHT, Ask.WHICH_READING, Ask.HEARD}
    | {Ask.MEANT, Ask.UNIT, Ask.LIGHT}
)
"""Questions to which a bare weight is that of the bird in the draft."""

_OF_THE_NAME = frozenset({Ask.WHICH_BIRD, Ask.HEARD, Ask.MEANT})
"""Questions to which the name of a bird is an answer."""

_CHANGES_NOTHING = frozenset(
    {"help", "repeat", "count", "remaining", "needle_which", "medicine_which", "tare_which"}
    | {"batch_which", "left", "due", "cage_which"}
    | {"hush", "tones", "slower", "faster", "louder", "softer", "short_answers", "full_answers"}
)


def in_doubt(heard: Heard) -> bool:
    """Whether what was heard must not be acted on as it stands; typed words never are."""
    spoken = heard.channel is Channel.VOICE
    return spoken and (heard.doubtful or heard.confidence < SURE_ENOUGH)


def changes_nothing(request: Request) -> bool:
    """Whether a request only has something said, or said in another manner.

    To ask about it would cost more than to do it: its answer tells the keeper what was heard.
    """
    return isinstance(request, Plain) and request.kind in _CHANGES_NOTHING


def ask_back(state: State, heard: Heard, request: Request, moment: Moment) -> Step:
    """The question about a request that was not heard surely; it settles nothing by itself."""
    moment = replace(moment, intent=intent_of(request))
    question = state.question
    if question is not None and request in (Plain("yes"), Plain("no")):
        return ask(state, moment, question, "Was that yes or no?")
    # an answer about whose a dose was must never become a dose of its own
    wanted = None if state.asked(Ask.OTHER_BIRD) else _as_dose(request)
    draft = _draft(state, wanted, _readings(heard, wanted, moment), moment) if wanted else None
    if draft is not None:
        return advance(replace(state, question=None), moment, draft)
    return meant(state, request, moment, "Did you say")


def _as_dose(request: Request) -> DoseWanted | None:
    """A bird, a weight or both, and nothing else; None for any other request."""
    match request:
        case WeightFixed(weight):
            return DoseWanted(weights=(weight,))
        case DoseWanted(another=False, medicine="", unusual=None):
            return request
    return None


def _readings(heard: Heard, wanted: DoseWanted | None, moment: Moment) -> list[Reading]:
    """What was heard and what it may have been instead, the likeliest first."""
    if wanted is None:
        return []
    found = [Reading(wanted.named, wanted.weights, heard.confidence)]
    for other in heard.alternatives:
        one = _alternative(other, moment)
        alike = one and (bool(one.named), len(one.weights)) == (
            bool(wanted.named),
            len(wanted.weights),
        )
        if one and alike and _key(one) not in map(_key, found):
            found.append(one)
    return found[:MOST_RIVALS]


def _alternative(other: Alternative, moment: Moment) -> Reading | None:
    read = understand(other.words, moment.setting.lexicon)
    if other.confidence < RIVAL or read.doubt is not None or len(read.requests) != 1:
        return None
    wanted = _as_dose(read.requests[0])
    return Reading(wanted.named, wanted.weights, other.confidence) if wanted else None


def _key(reading: Reading) -> tuple[object, ...]:
    return reading.named, tuple(map(mass, reading.weights))


def _draft(
    state: State, wanted: DoseWanted, readings: list[Reading], moment: Moment
) -> Draft | None:
    """What is asked for, with what is unsure in it; None where it belongs to no bird."""
    question = state.question
    waiting = question.draft if question else None
    if wanted.named and wanted.weights:
        able = [one for one in readings if _is_able(one.named, one, state, moment)] or readings
        draft = replace(drafted(wanted), unsure=BOTH, readings=tuple(able))
        return replace(draft, named=_birds(able), weights=_weights(able))
    if question is None or waiting is None:
        return None
    if wanted.named and question.ask in _OF_THE_NAME:
        birds = _birds(readings)
        offered = tuple(one for one in birds if one in waiting.named)
        return replace(waiting, named=offered or birds, unsure=waiting.unsure | {Part.BIRD})
    of_bag = question.ask is Ask.UNIT and question.options
    if wanted.named or question.ask not in _OF_THE_BIRD or not waiting.named or of_bag:
        return None
    able = [one for one in readings if _is_able(waiting.named, one, state, moment)] or readings
    unsure = waiting.unsure | {Part.WEIGHT}
    return replace(waiting, weights=_weights(able), unsure=unsure, settled=frozenset())


def _is_able(named: tuple[Named, ...], reading: Reading, state: State, moment: Moment) -> bool:
    """Whether a bird can weigh so much; what it cannot is not worth naming beside what it can."""
    grams = [net_grams(one, state) for one in reading.weights]
    species = [species_of(one, moment.setting) for one in named]
    return all(
        g is None or any(one.judge(g) is not Plausibility.REFUSE for one in species) for g in grams
    )


def _birds(readings: Iterable[Reading]) -> tuple[Named, ...]:
    return tuple(dict.fromkeys(bird for one in readings for bird in one.named))


def _weights(readings: Iterable[Reading]) -> tuple[Weight, ...]:
    return tuple({mass(weight): weight for weight in _each(readings)}.values())


def _each(readings: Iterable[Reading]) -> Iterator[Weight]:
    for one in readings:
        yield from one.weights
