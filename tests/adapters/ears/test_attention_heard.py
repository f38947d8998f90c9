"""The attention word by real sound: a word that no dictionary has is heard all the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.adapters.home.setting_up import make_demo
from assistant.adapters.sound.resampling import as_utterance
from assistant.conversation.turn import Status
from assistant.errors import DataProblem
from assistant.language.heard import Heard
from assistant.wiring import Desk, open_desk, open_ears, open_home, open_voice, word_sounds

WORD = "quellaby"


def desk_with(word: str, home: Path) -> Desk:
    """The demo home with this attention word."""
    make_demo(open_home(str(home)))
    kit = home / "kit.toml"
    kit.write_text(f'attention = "{word}"\n{kit.read_text("utf-8")}', "utf-8")
    return open_desk(str(home))


def test_an_invented_word_is_pronounced_and_heard(home: Path):
    desk = desk_with(WORD, home)
    assert word_sounds(desk).ours[WORD]
    ears, voice, session = open_ears(desk, None), open_voice(desk.holding.kit), desk.session()
    session.hear(Heard("yes"))
    said = {"cockatiel ninety five grams": Status.IGNORED}
    said[f"{WORD} cockatiel ninety five grams"] = Status.ANSWERED
    for words, status in said.items():
        ears.begin()
        ears.feed(as_utterance(voice.render(words)))
        assert session.hear(ears.finish()).status is status


def test_a_word_that_means_something_stops_it_with_the_place(home: Path):
    with pytest.raises(DataProblem, match="already means something"):
        desk_with("galah", home)
