"""Birds counted by cage: how many are in it, done and left, and who may not be dosed for that.

A bird without a name is known only by its cage.  It gets no dose once as many were done as are in
the cage, nor where the counts do not match: nobody can tell then which bird had one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from assistant.conversation.moment import Moment
from assistant.conversation.sentences import same_day
from assistant.conversation.state import Caged, State
from assistant.dosing.days import day
from assistant.dosing.names import fold
from assistant.dosing.species import Bird

A_NAME_TELLS = "A ring or a name would tell."
ELSEWHERE = "If it is of another cage, say that cage first."


def done_today(state: State, cage: str, at: datetime) -> int:
    """How many birds of the cage had the round's medicine today."""
    caged = _caged(state, cage)
    return caged.done if caged is not None and same_day(caged.at, at) else 0


def _caged(state: State, cage: str) -> Caged | None:
    return state.caged.get((cage, state.medicine.name)) if state.medicine else None


def not_due(state: State, cage: str, at: datetime) -> str | None:
    """Why the birds of a cage that was done on an earlier day are not due yet; None if they are."""
    caged, medicine = _caged(state, cage), state.medicine
    if caged is None or medicine is None or same_day(caged.at, at):
        return None
    given = caged.at.astimezone(at.tzinfo)
    due = medicine.due_from(given.date())
    if at.date() >= due:
        return None
    return f"Cage {cage} had {medicine.name} on {day(given)}. The next is due from {day(due)}."


def why_nobody(state: State, at: datetime) -> tuple[str, str] | None:
    """Why no bird without a name of this cage may be dosed: the reason word and the sentence."""
    sitting = state.sitting
    cage = sitting.cage
    if cage is None:
        return None
    if cage in sitting.uncertain:
        text = f"No dose. The count of cage {cage} does not match: nobody can tell who was done."
        return "cage_count", f"{text} {A_NAME_TELLS}"
    if reason := not_due(state, cage, at):
        return "already_dosed", f"No dose. {reason}"
    birds, done = sitting.counted.get(cage), done_today(state, cage, at)
    if birds is None:
        if not sitting.found_done:
            return None
        text = f"No dose yet. {done} of cage {cage} were done before. {how_to_count(cage)}"
        return "cage_count", text
    if done < birds:
        return None
    text = (
        f"No dose. Cage {cage} has {birds} birds, and {done} are done. "
        f"A bird that may have had its dose gets no second one. {ELSEWHERE}"
    )
    return "cage_done", text


def how_to_count(cage: str) -> str:
    """What to say so that a cage is counted."""
    return f"Say cage {cage} and how many birds are in it."


def counted(state: State, cage: str, at: datetime) -> str:
    """How a cage stands, such as "4 of 6 done"; empty where nobody said how many are in it."""
    birds = state.sitting.counted.get(cage)
    if birds is None:
        return ""
    done = done_today(state, cage, at)
    return f"All {birds} done." if done == birds > 1 else f"{_of(birds, done)}."


def _of(birds: int, done: int) -> str:
    if done > birds:
        return f"{done} done, but the count was {birds}: count this cage again"
    return f"{done} of {birds} done"


def left_in(state: State, moment: Moment, cage: str) -> str:
    """Who is left in a cage, by number and by name."""
    birds, done = state.sitting.counted.get(cage), done_today(state, cage, moment.at)
    text = f"Cage {cage}: {done} done."
    if birds is not None:
        text = f"Cage {cage}: {_of(birds, done)}, {max(birds - done, 0)} left."
    names = list(_names_left(state, moment, cage))
    return f"{text} By name: {', '.join(names)}." if names else text


def known_cages(state: State, moment: Moment) -> tuple[str, ...]:
    """The cages that were said in this round, and those of the keeper's birds."""
    kept = (bird.cage for bird in moment.setting.lexicon.aviary.birds)
    return tuple({fold(one): one for one in (*kept, *state.sitting.cages) if one}.values())


def may_be_left(state: State, moment: Moment, cage: str) -> bool:
    """Whether a bird of this cage is left, or nobody said how many are in it."""
    birds = state.sitting.counted.get(cage)
    if birds is not None:
        return done_today(state, cage, moment.at) != birds
    named = any(_is_of(bird, cage) for bird in moment.setting.lexicon.aviary.birds)
    return not named or any(_names_left(state, moment, cage))


def _names_left(state: State, moment: Moment, cage: str) -> Iterator[str]:
    for bird in moment.setting.lexicon.aviary.birds:
        if _is_of(bird, cage) and not _had(state, bird, moment.at):
            yield bird.name


def _is_of(bird: Bird, cage: str) -> bool:
    return bird.cage is not None and fold(bird.cage) == fold(cage)


def _had(state: State, bird: Bird, at: datetime) -> bool:
    dosed = state.dosed.get((bird.name, state.medicine.name)) if state.medicine else None
    return dosed is not None and same_day(dosed.at, at)


def tallied(state: State, cage: str | None, at: datetime, by: int) -> State:
    """The state after one more bird of the cage was done, or one less."""
    if cage is None or state.medicine is None:
        return state
    done = max(done_today(state, cage, at) + by, 0)
    key = (cage, state.medicine.name)
    return replace(state, caged={**state.caged, key: Caged(at, done)})
