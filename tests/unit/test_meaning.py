"""Whether two wordings ask for the same."""

from __future__ import annotations

import pytest

from assistant.language import meaning as meaning_module
from assistant.language.lexicon import Lexicon
from assistant.language.meaning import meaning_in
from assistant.language.understanding import Understanding, understand
from tests.talk_scene import demo_lexicon


def test_two_wordings_of_one_bird_mean_the_same_by_whatever_name():
    meaning = meaning_in(demo_lexicon())
    assert meaning("budgie thirty five grams") == meaning("budgerigar thirty five grams")
    assert meaning("given") == meaning("given please")
    assert meaning("cockatiel ninety five") != meaning("cockatiel eighty five")
    assert meaning("cockatiel ninety five") != meaning("budgie ninety five")


def test_what_has_no_meaning_means_its_own_words():
    meaning = meaning_in(demo_lexicon())
    assert meaning("lovely weather today") == "lovely weather today"


def test_what_was_worked_out_is_kept_until_it_is_too_much(monkeypatch: pytest.MonkeyPatch):
    asked: list[str] = []

    def counted(words: str, lexicon: Lexicon) -> Understanding:
        asked.append(words)
        return understand(words, lexicon)

    monkeypatch.setattr(meaning_module, "understand", counted)
    monkeypatch.setattr(meaning_module, "_MOST_KNOWN", 2)
    meaning = meaning_in(demo_lexicon())
    for words in ("given", "given", "yes", "yes", "given"):
        meaning(words)
    assert asked == ["given", "yes"]
    for words in ("no", "no", "given"):
        meaning(words)
    assert asked == ["given", "yes", "no", "given"]
