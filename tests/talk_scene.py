"""The demo home read into a conversation, and a keeper who talks to it, for many tests."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta, timezone
from functools import cache
from pathlib import Path
from typing import Any

from assistant.adapters.home.folder import Holding, Home
from assistant.adapters.home.grammar_file import grammar_text
from assistant.adapters.home.setting_up import make_demo
from assistant.conversation.entries import IN_PLACE_OF, DoseEnd, DoseEndEntry, DoseEntry
from assistant.conversation.machine import step
from assistant.conversation.state import Setting, State, opening
from assistant.conversation.turn import Status, Turn
from assistant.dosing.medicine import Medicine
from assistant.language.heard import Heard
from assistant.language.lexicon import Lexicon, build

MORNING = datetime(2026, 3, 1, 8, 30, tzinfo=timezone(timedelta(hours=10)))


@cache
def demo_holding() -> Holding:
    """What the demo's own files say."""
    with tempfile.TemporaryDirectory() as folder:
        home = Home(Path(folder) / "home")
        make_demo(home)
        return home.holding()


@cache
def lexicon_of(*medicines: Medicine) -> Lexicon:
    """The real grammar with the demo's birds and these medicines."""
    holding = demo_holding()
    text = grammar_text("dosewren.jsgf")
    return build(text, holding.aviary, medicines, needles=holding.kit.needles)


def demo_lexicon() -> Lexicon:
    """The real grammar with all that the demo names."""
    return lexicon_of(*demo_holding().medicines)


def setting(*medicines: Medicine, one_shot: bool = False, **kit: Any) -> Setting:  # noqa: ANN401 - each test names a field of the kit
    """The demo, or the same with other medicines (the first one in use) or a changed kit."""
    holding = demo_holding()
    known = medicines or holding.medicines
    return Setting(
        lexicon=lexicon_of(*known),
        kit=replace(holding.kit, **kit),
        medicines=known,
        usual=medicines[0] if medicines else holding.usual_medicine,
        round_id="r1",
        one_shot=one_shot,
    )


@dataclass
class Talk:
    """A conversation that checks, after every utterance, what must always hold."""

    setting: Setting
    state: State = field(init=False)
    turns: list[Turn] = field(default_factory=list)
    at: datetime = MORNING

    def __post_init__(self) -> None:
        """Begin where every conversation begins."""
        self.state = opening(self.setting)

    def say(self, *phrases: str, heard: Heard | None = None) -> Turn:
        """Say the phrases one after another; the last turn comes back."""
        for utterance in (heard,) if heard else map(Heard, phrases):
            self.at += timedelta(seconds=20)
            before = self.state
            self.state, turn = step(before, utterance, self.setting, self.at)
            self.turns.append(turn)
            check_turn(before, self.state, turn)
        return self.turns[-1]

    @property
    def entries(self) -> list[object]:
        """Every row so far."""
        return [entry for turn in self.turns for entry in turn.entries]


def begun(*medicines: Medicine, **kit: Any) -> Talk:  # noqa: ANN401 - the same
    """A conversation whose round question was answered with yes."""
    talk = Talk(setting(*medicines, **kit))
    talk.say("yes")
    return talk


def check_turn(before: State, after: State, turn: Turn) -> None:
    """What must hold for every step, whatever was said."""
    ends = [entry for entry in turn.entries if isinstance(entry, DoseEndEntry)]
    doses = [entry for entry in turn.entries if isinstance(entry, DoseEntry)]
    rewritten = [end for end in ends if end.note.startswith(IN_PLACE_OF)]
    if rewritten:
        check_rewritten(doses, ends)
        doses, ends = [], ends[:1]
    assert turn.reply.said.strip()
    assert (turn.status is Status.ANSWERED) == (turn.facts.dose is not None) == (len(doses) == 1)
    if turn.facts.dose is not None:
        check_answer(turn)
        assert after.pending == doses[0]
    assert len(ends) <= 1, "one utterance ends one dose"
    if ends:
        known = {entry.dose_id for entry in (before.pending, before.last) if entry}
        assert ends[0].dose_id in known
    on_paper = before.on_paper or after.on_paper  # its end is on paper, and holds nobody up
    if before.pending is not None and after.pending != before.pending and not on_paper:
        assert ends, "an open dose went without an end"
    assert all(count >= 0 for count in after.ended.values())


def check_rewritten(doses: list[DoseEntry], ends: list[DoseEndEntry]) -> None:
    """A dose written anew for another bird: the old one scratched, the new one never said."""
    (dose,), (old, new) = doses, ends
    assert old.end is DoseEnd.SCRATCHED
    assert new.dose_id == dose.dose_id
    assert new.note == f"{IN_PLACE_OF}{old.dose_id}"


def check_answer(turn: Turn) -> None:
    """A dose is never said without its read-back: the bird, the grams, then the volume."""
    # the end of the dose before may be told first, with a weight that is the same by chance
    facts, said = turn.facts, turn.reply.said.rpartition("Next: ")[2]
    assert facts.dose is not None
    assert facts.species is not None
    assert facts.grams is not None
    name = (facts.bird or facts.species).partition(" (")[0]
    volume = f"{facts.dose.volume_ml.normalize():f} mL"
    shown = f"{round(facts.grams, 1).normalize():f} gram"
    assert said.index(name) < said.index(shown) < said.rindex(volume)
