"""A spoken round: recordings → ears → conversation → spoken answer, heard again → register.

No part is stood in for.  A flite voice is the keeper, the real command hears and speaks, and the
answers' volumes are recognised from their sound by an ear whose grammar has any volume from 0 to
9.99 mL in every place.
"""

from __future__ import annotations

import json
import re
import subprocess
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from assistant.adapters.ears.pocketsphinx import PocketsphinxEars
from assistant.adapters.ears.pronunciations import parse_pronunciations
from assistant.adapters.home.grammar_file import grammar_text
from assistant.adapters.sound.recordings import read_recording
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.jsgf import read_grammar
from assistant.language.shaping import words_of
from tests.end_to_end.scenes import dosewren

ROUND = (
    "yes",
    "cockatiel ninety five grams",
    "given",
    "budgerigar thirty two grams",
    "part given",
    "how many done",
    "goodbye",
)

ANSWERS = """#JSGF V1.0; grammar answers;
public <answer> = <bird> <number> grams <volume> [ of marigold demo one in ten ]
    [ use the <decimal> millilitre syringe ] [ shake it ]
    [ dry needle draw to <volume> fit it tip up push all air out stop at <volume> ]
    [ needle full draw to <volume> only ] [ demo medicine never for a real bird ]
    [ feel the tip in the crop before you press never push against resistance ];
<bird> = cockatiel | budgerigar | galah | rosella | canary | zebra finch;
<number> = <tens> [ <digit> ] | <digit> hundred [ and ] <tens> [ <digit> ];
<tens> = twenty | thirty | forty | fifty | sixty | seventy | eighty | ninety;
<volume> = <decimal> ( millilitre | millilitres );
<decimal> = <digit> [ point <digit> [ <digit> ] ];
<digit> = zero | one | two | three | four | five | six | seven | eight | nine;
"""
DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


@dataclass(frozen=True, slots=True)
class Done:
    """What a session left behind: an answer for each recording, its sound, and the register."""

    answers: list[dict[str, object]]
    spoken: list[Path]
    doses: list[dict[str, object]]


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> Done:
    folder = tmp_path_factory.mktemp("spoken")
    home = folder / "home"
    dosewren(home, "setup", "--demo")
    kit = home / "kit.toml"
    # the ear that listens to the answers knows American English
    with kit.open("a") as file:
        file.write('[voice]\nname = "en-us"\n')
    recordings = []
    for number, phrase in enumerate(ROUND):
        path = folder / f"{number}.wav"
        subprocess.run(["flite", "-voice", "rms", "-t", phrase, "-o", str(path)], check=True)
        recordings.append(str(path))
    spoken = folder / "spoken"
    lines = dosewren(home, "hear", "--together", "--json", "--speak", str(spoken), *recordings)
    register = dosewren(home, "register", "--json")
    return Done(
        [json.loads(line) for line in lines.splitlines()],
        sorted(spoken.iterdir()),
        [json.loads(line) for line in register.splitlines()],
    )


def test_each_recording_is_understood(session: Done):
    # an ear may write a number in figures
    heard = [str(answer["heard"]).replace("95", "ninety five") for answer in session.answers]
    assert [words.replace("32", "thirty two") for words in heard] == list(ROUND)
    assert [answer["status"] for answer in session.answers] == [
        *("command", "answered", "command", "answered", "command", "command", "command"),
    ]


def test_the_register_holds_both_doses_and_how_they_ended(session: Done):
    kept = [
        (dose["species"], dose["grams"], dose["volume_ml"], dose["end"]) for dose in session.doses
    ]
    assert kept == [
        ("Cockatiel", 95, "0.47", "given"),
        ("Budgerigar", 32, "0.16", "part_given"),
    ]


@pytest.mark.parametrize(("place", "bird"), [(1, "cockatiel"), (3, "budgerigar")])
def test_the_volume_is_heard_again_in_the_sound_of_the_answer(session: Done, place: int, bird: str):
    heard = listen(session.spoken[place])
    assert heard.startswith(bird), heard
    assert first_volume(heard) == session.answers[place]["dose_ml"], heard


def listen(path: Path) -> str:
    ears = answer_ears()
    ears.begin()
    ears.feed(read_recording(path))
    return ears.finish().words


@cache
def answer_ears() -> PocketsphinxEars:
    words = words_of(read_grammar(ANSWERS, {}))
    spoken = parse_pronunciations(grammar_text("pronunciations.dict"), "pronunciations.dict")
    return PocketsphinxEars(EngineGrammar(ANSWERS, words, ()), spoken)


def first_volume(heard: str) -> str:
    """The first volume in the words, in figures."""
    before, *_ = re.split(r" millilitres?", heard)
    digits: list[str] = []
    for word in reversed(before.split()):
        if word == "point":
            digits.append(".")
        elif word in DIGITS:
            digits.append(str(DIGITS.index(word)))
        else:
            break
    return "".join(reversed(digits))
