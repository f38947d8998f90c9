"""From cage to cage: which one the keeper is at, and how many birds are in it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from assistant.conversation.ending import ask_about_open_dose
from assistant.conversation.moment import Moment, Step, ask, noted, said
from assistant.conversation.sitting import Sitting
from assistant.conversation.state import Ask, Question, State
from assistant.conversation.tally import (
    counted,
    done_today,
    how_to_count,
    left_in,
    not_due,
)
from assistant.dosing.reminders import Often
from assistant.language.requests import CageSaid

MAYBE_DOSED = (
    "No dose for a bird that may have had one. Put it with those that are done; "
    "its ring or its name would tell."
)


def enter_cage(state: State, moment: Moment, wanted: CageSaid) -> Step:
    """Go on with this cage; a count that differs from the one before is asked about."""
    if state.open_dose is not None:
        return ask_about_open_dose(state, moment)
    before = state.sitting.counted.get(wanted.name)
    if wanted.birds is not None and before not in (None, wanted.birds):
        text = (
            f"Cage {wanted.name} had {before} birds, now {wanted.birds}? "
            "Say yes, or the cage and its birds again."
        )
        return ask(state, moment, Question(Ask.CAGE_COUNT, options=(wanted,)), text)
    return at_cage(state, moment, wanted)


def at_cage(state: State, moment: Moment, wanted: CageSaid) -> Step:
    """The cage with its count as it was said last."""
    name, text = wanted.name, _leaving(state, moment, wanted.name)
    after = replace(state, sitting=_moved(state, moment, wanted), question=_kept(state))
    birds = after.sitting.counted.get(name)
    text += f"Cage {name}." if birds is None else f"Cage {name}, {_birds(birds)}."
    if name in after.sitting.uncertain:
        text += (
            f" {done_today(after, name, moment.at)} done today by another count: "
            "no dose here for a bird without a name or a ring."
        )
    elif reason := not_due(after, name, moment.at):
        text += f" {reason}"
    elif after.sitting.found_done:
        text += f" {counted(after, name, moment.at) or how_to_count(name)}"
    elif birds is None:
        text += f" To keep count: {how_to_count(name).lower()}"
    about = name if birds is None else f"{name}, {_birds(birds)}"
    return noted(said(after, moment, text), moment, "cage", about)


def _birds(count: int) -> str:
    return "1 bird" if count == 1 else f"{count} birds"


def _leaving(state: State, moment: Moment, name: str) -> str:
    """What is left in the cage before, where that is known and is any."""
    cage = state.sitting.cage
    if cage is None or cage == name or state.sitting.counted.get(cage) is None:
        return ""
    if done_today(state, cage, moment.at) >= state.sitting.counted[cage]:
        return ""
    return f"{left_in(state, moment, cage)} "


def _kept(state: State) -> Question | None:
    """The question about the round stays; a bird of the cage before is dropped."""
    return Question(Ask.ROUND) if state.asked(Ask.ROUND) else None


def _moved(state: State, moment: Moment, wanted: CageSaid) -> Sitting:
    """What the round has gone through, at this cage: reminders and conditions begin again."""
    sitting, name = state.sitting, wanted.name
    fresh = name != sitting.cage
    found_done = bool(done_today(state, name, moment.at)) if fresh else sitting.found_done
    counts, uncertain = dict(sitting.counted), sitting.uncertain
    if wanted.birds is not None:
        before = counts.get(name, wanted.birds)
        done = done_today(state, name, moment.at)
        if done > wanted.birds or (done and before != wanted.birds):
            uncertain |= {name}
        counts[name] = wanted.birds
    moved = replace(
        sitting, cage=name, cages=tuple(dict.fromkeys((*sitting.cages, name))),
        found_done=found_done, counted=counts, uncertain=uncertain,
    )  # fmt: skip
    if not fresh:
        return moved
    each_cage = {one for one, often in moment.setting.kit.reminders.items() if often is Often.CAGE}
    again = each_cage if state.ended else set()
    return replace(
        moved, reminded=sitting.reminded - again, present=frozenset(), spared=frozenset()
    )


def next_cage(state: State, moment: Moment) -> Step:
    """The cage with the next number."""
    cage = state.sitting.cage
    if cage is None or not cage.isdecimal():
        return said(state, moment, "Which cage? Say cage and its number.", "which_cage")
    return enter_cage(state, moment, CageSaid(str(int(cage) + 1)))


def recaught(state: State, moment: Moment) -> Step:
    """A bird that was caught again, of which nobody knows whether it was done."""
    if state.open_dose is not None:
        return ask_about_open_dose(state, moment)
    step = said(replace(state, question=_kept(state)), moment, MAYBE_DOSED)
    return noted(step, moment, "recaught", state.sitting.cage or "")


def say_cage(state: State, moment: Moment) -> Step:
    """Which cage this is, and who is left in it."""
    cage = state.sitting.cage
    if cage is None:
        return said(state, moment, "No cage was said. Say cage and its number.", "which_cage")
    return said(state, moment, left_in(state, moment, cage))


CAGES: Mapping[str, Callable[[State, Moment], Step]] = {
    "next_cage": next_cage,
    "recaught": recaught,
    "cage_which": say_cage,
}
"""What each request about a cage leads to that needs nothing but its kind."""
