"""The bench's keeper, who answers what is asked back, and the clock beside the ears."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import pytest

from assistant.audio import Clip
from assistant.bench.acoustic.desk import BenchDesk, open_bench_desk
from assistant.bench.acoustic.keeper import answer_to, figures
from assistant.bench.acoustic.listening import evidence_of, frames, heard_in_time
from assistant.bench.acoustic.records import Kind, Phrase, Truth
from assistant.conversation.turn import Status
from assistant.language.expected import ANYTHING, Expected, Saying
from assistant.language.heard import Alternative, Channel, Heard

PHRASE = Phrase(
    Kind.DOSE,
    "tiel weighs one hundred ten grams",
    Truth("Cockatiel", Decimal(110), Decimal("0.55")),
    bird="tiel",
    weight="one hundred ten grams",
)


@pytest.fixture(scope="module")
def desk() -> BenchDesk:
    return open_bench_desk()


def said_after(desk: BenchDesk, words: str, confidence: float = 1.0) -> tuple[str, Status]:
    """What the keeper says to the question that these words lead to, and what comes of that."""
    session = desk.session()
    session.hear(Heard(words, confidence, channel=Channel.VOICE))
    answer = answer_to(session.state.question, PHRASE)
    return answer, session.hear(Heard(answer, channel=Channel.VOICE)).status


def test_the_right_reading_is_confirmed(desk: BenchDesk):
    assert said_after(desk, PHRASE.text, 0.3) == ("yes", Status.ANSWERED)


def test_the_weight_is_said_when_it_is_asked_for(desk: BenchDesk):
    assert said_after(desk, "tiel") == (PHRASE.weight, Status.ANSWERED)


def test_the_bird_is_said_by_its_full_name_when_it_is_asked_for(desk: BenchDesk):
    assert said_after(desk, "one hundred ten grams") == ("cockatiel", Status.ANSWERED)


def test_a_wrong_reading_is_met_with_what_was_meant(desk: BenchDesk):
    answer = said_after(desk, "tiel one hundred eighteen grams", 0.3)
    assert answer == ("one one oh grams", Status.ANSWERED)
    answer = said_after(desk, "quaker one hundred ten grams", 0.3)
    assert answer == ("cockatiel", Status.ANSWERED)


def test_of_two_weights_the_right_one_is_said_figure_by_figure(desk: BenchDesk):
    answer, status = said_after(desk, "tiel one hundred ten or one hundred twenty grams")
    assert (answer, status) == ("one one oh grams", Status.ANSWERED)


def test_a_refusal_is_met_with_the_whole_request():
    assert answer_to(None, PHRASE) == PHRASE.text


@pytest.mark.parametrize(
    ("grams", "words"),
    [("110", "one one oh grams"), ("110.5", PHRASE.weight), ("8", PHRASE.weight)],
)
def test_only_whole_grams_are_said_figure_by_figure(grams: str, words: str):
    assert figures(PHRASE, Truth("Cockatiel", Decimal(grams), Decimal(1))) == words


class EarsOfPaper:
    """Ears that hear what they are told to, and remember what they were given."""

    name = "paper"
    model = "paper"

    evidence: object = None

    def __init__(self) -> None:
        self.clips: list[Clip] = []
        self.expected = ANYTHING

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Forget, and remember what is expected."""
        self.clips.clear()
        self.expected = expected

    def feed(self, clip: Clip) -> None:
        """Remember."""
        self.clips.append(clip)

    def finish(self) -> Heard:
        """Hear the phrase."""
        return Heard(PHRASE.text, channel=Channel.VOICE, engine=self.name)

    def deaf_to(self) -> Sequence[str]:
        """Nothing."""
        return ()


def test_ears_are_told_what_is_expected(desk: BenchDesk):
    ears, session = EarsOfPaper(), desk.session()
    session.hear(Heard("galah"))
    heard_in_time(ears, iter(()), session.hear, expected=session.expected)
    assert Saying.WEIGHT in ears.expected


def test_ears_are_given_the_whole_sound_in_frames(desk: BenchDesk):
    ears, clip = EarsOfPaper(), Clip(bytes(range(256)) * 100)
    heard, turn, took = heard_in_time(ears, frames(clip), desk.session().hear)
    assert b"".join(one.pcm for one in ears.clips) == clip.pcm
    assert len(ears.clips) == 8
    assert (heard.words, turn.status) == (PHRASE.text, Status.ANSWERED)
    assert 0 < took.latency_s <= took.busy_s


def test_live_ears_are_given_each_frame_when_it_has_come_in(desk: BenchDesk):
    waited: list[float] = []
    clip = Clip(bytes(3200 * 5))
    heard_in_time(EarsOfPaper(), frames(clip), desk.session().hear, waits=waited.append)
    assert len(waited) == 5
    assert waited == sorted(waited)
    assert waited[-1] <= 0.5


@dataclass(frozen=True)
class Kept:
    """What ears may keep of an utterance."""

    margin: float


def test_what_else_was_heard_is_kept_as_plain_data():
    ears = EarsOfPaper()
    heard = Heard("tiel", 0.5, (Alternative("till", 0.25),), Channel.VOICE)
    assert evidence_of(ears, Heard("tiel")) is None
    assert evidence_of(ears, heard) == {"alternatives": [["till", 0.25]]}
    ears.evidence = Kept(1.5)
    assert evidence_of(ears, Heard("tiel")) == {"ears": {"margin": 1.5}}
