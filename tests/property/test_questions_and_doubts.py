"""Whatever an ear brings in, sure or not: two questions at most, and no dose that nobody confirmed.

Both are checked from outside, by what was heard and what was said aloud, not by the state.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from assistant.conversation.doubting import in_doubt
from assistant.conversation.entries import DoseEndEntry
from assistant.conversation.sentences import species_name
from assistant.conversation.state import State
from assistant.conversation.turn import Status, Turn
from assistant.dosing.tables import present
from assistant.language.heard import Alternative, Channel, Heard
from assistant.language.requests import DoseWanted, WeightFixed
from assistant.language.understanding import understand
from tests.talk_scene import Talk, demo_lexicon, setting

BIRDS = ["cockatiel", "galah", "little corella", "budgie", "macaw", "blue and gold", "ringneck"]
WEIGHTS = ["ninety five grams", "three thirty", "three thirteen", "thirty", "thirteen",
           "nine fifty", "nought point three", "about ninety"]  # fmt: skip
OTHERS = ["yes", "no", "given", "part given", "no three thirteen", "no ninety five", "correction",
          "scratch that", "wrong bird", "grams", "help", "say again", "new needle", "goodbye",
          "another one", "bag is twelve", "next bird", "switch to thistle", "", ""]  # fmt: skip

WHOLE = st.builds("{} {}".format, st.sampled_from(BIRDS), st.sampled_from(WEIGHTS))
WORDS = st.one_of(WHOLE, WHOLE, st.sampled_from([*BIRDS, *WEIGHTS]), st.sampled_from(OTHERS))


@st.composite
def heard(draw: st.DrawFn) -> Heard:
    """One utterance: sure, in doubt, or nothing at all; with rivals where it is in doubt."""
    words = draw(WORDS)
    doubtful = draw(st.booleans())
    rivals = tuple(
        Alternative(draw(WHOLE if " " in words else WORDS), draw(st.floats(0, 0.5)))
        for _ in range(draw(st.integers(0, 3)) if doubtful else 0)
    )
    confidence = draw(st.floats(0.05, 1.0)) if doubtful else 0.95
    return Heard(words, confidence, rivals, Channel.VOICE, "test ear", doubtful=doubtful)


TALKS = st.lists(heard(), min_size=1, max_size=14)


def round_of(utterances: list[Heard], *, begun: bool) -> Iterator[tuple[Heard, Turn, State]]:
    """Each utterance with its turn and the state after it."""
    talk = Talk(setting())
    if begun:
        talk.say("yes")
    for one in utterances:
        turn = talk.say(heard=one)
        yield one, turn, talk.state


def is_question(one: Heard, turn: Turn) -> bool:
    """Whether a turn asks about a request, or again about an answer that was not heard surely."""
    about_round = turn.reason in OTHERWISE
    asks = turn.status is Status.ASKED and turn.reason != "still_unsure"
    return asks and (in_doubt(one) or not about_round)


OTHERWISE = {"round", "open_dose", "caution", "flushed", "correction", "fix", "bag_changed",
             "already_dosed", "two_birds", "vet", "condition", "second", "young", "emergency",
             "second_medicine", "cage_count", "cage_done",
             "afterwards", "other_bird"}  # fmt: skip
"""Questions about the round, the needle or an open dose, and refusals."""


def begins_anew(one: Heard, turn: Turn) -> bool:
    """Whether an utterance asks surely for a bird, or a dose got its end before the question."""
    wanted = understand(one.words, demo_lexicon()).requests
    bird = any(isinstance(request, DoseWanted) and request.named for request in wanted)
    return (bird and not in_doubt(one)) or any(isinstance(e, DoseEndEntry) for e in turn.entries)


@given(TALKS, st.booleans())
def test_it_never_asks_a_third_time_about_one_request(utterances: list[Heard], begun: bool):  # noqa: FBT001 - drawn
    row = 0
    for one, turn, state in round_of(utterances, begun=begun):
        if turn.status is Status.IGNORED:
            continue
        if is_question(one, turn):
            row = 1 if begins_anew(one, turn) else row + 1
        elif state.question is None:
            row = 0
        assert row <= 2, turn.reply.said


@dataclass
class Known:
    """What a keeper said surely, or heard in a question and answered surely, about one request."""

    birds: set[str] = field(default_factory=set)
    grams: set[str] = field(default_factory=set)
    asked: str = ""
    last: str = ""

    def take(self, one: Heard) -> None:
        """Take in an utterance; what is in doubt tells nothing."""
        if in_doubt(one):
            return
        self.grams |= set(re.findall(r"\d+(?:\.\d+)?", self.asked))
        self.birds |= {bird for bird in KNOWN if bird.casefold() in self.asked.casefold()}
        for request in understand(one.words, demo_lexicon()).requests:
            weights = request.weights if isinstance(request, DoseWanted) else ()
            if isinstance(request, DoseWanted):
                self.birds |= {species_name(bird) for bird in request.named}
            if isinstance(request, WeightFixed):
                weights = (request.weight,)
            if isinstance(request, WeightFixed) or one.words in ("correction", "another one"):
                self.birds.add(self.last)
            self.grams |= {f"{weight.grams:f}" for weight in weights if weight.grams is not None}

    def follow(self, turn: Turn, state: State) -> None:
        """Take in the turn that followed."""
        self.last = turn.facts.species or self.last if turn.facts.dose else self.last
        if turn.status is Status.ASKED and turn.reply.said != "Was that yes or no?":
            self.asked = turn.reply.said
        if state.question is None:
            self.birds, self.grams, self.asked = set(), set(), ""


@given(TALKS)
def test_no_dose_is_said_for_what_was_neither_heard_surely_nor_confirmed(utterances: list[Heard]):
    known = Known()
    for one, turn, state in round_of(utterances, begun=True):
        if turn.status is Status.IGNORED:
            continue
        known.take(one)
        if turn.facts.dose is not None:
            assert not in_doubt(one), one.words
            assert turn.facts.species in known.birds, (turn.reply.said, known)
            on_scale = present(turn.facts.grams) + (state.tare_g or 0)
            assert f"{on_scale:f}" in known.grams, (turn.reply.said, known)
        known.follow(turn, state)


KNOWN = sorted(species.name for species in demo_lexicon().aviary.species_list)


@given(TALKS)
def test_what_is_in_doubt_never_ends_a_dose_nor_says_one(utterances: list[Heard]):
    for one, turn, _ in round_of(utterances, begun=True):
        if in_doubt(one):
            assert turn.facts.dose is None, one.words
            assert not any(isinstance(entry, DoseEndEntry) for entry in turn.entries), one.words


@given(TALKS, st.lists(st.booleans(), min_size=14, max_size=14), st.integers(1, 200))
def test_without_its_attention_word_nothing_is_begun(
    utterances: list[Heard], called: list[bool], seconds: int
):
    """A dose that nobody called for would be an answer to talk among people."""
    talk = Talk(setting(attention="marlow"))
    talk.say("yes")
    addressed = False
    for one, with_word in zip(utterances, called, strict=False):
        talk.at += timedelta(seconds=seconds)
        words = f"marlow {one.words}" if with_word and one.words else one.words
        addressed |= words.startswith("marlow")
        turn = talk.say(heard=replace(one, words=words))
        assert addressed or turn.status is Status.IGNORED
