"""A talk through a sound card: `python talk.py SCRIPT FOLDER [headset]`, prints what was heard.

SCRIPT is a list in JSON.  Each element belongs to one utterance that comes in: what is answered
("" for silence, a "." alone to end) and what is played at the microphone after that, as pairs of a
recording and the seconds after the beginning (or, if negative, before the end) of the answer.
"""

from __future__ import annotations

import json
import sys
import threading
from collections.abc import Generator
from pathlib import Path

from assistant.adapters.ears.pocketsphinx import PocketsphinxEars
from assistant.adapters.sound.devices import SystemMicrophone, SystemSpeaker
from assistant.adapters.talk.live import Equipment, converse
from assistant.adapters.talk.voice import EspeakVoice
from assistant.audio import Clip
from assistant.conversation.turn import Manner, Reply, Status, Turn
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.heard import Heard
from assistant.language.jsgf import read_grammar
from assistant.language.shaping import words_of
from assistant.ports import Loudness, Phase
from tests.adapters.sound.stage import perform, record

GRAMMAR = """#JSGF V1.0;
grammar birds;
<bird> = cockatiel | budgie;
<tens> = twenty | thirty | forty | ninety;
<unit> = one | two | three | four | five | six | seven | eight | nine;
public <request> = <bird> (<tens> [<unit>] | <unit>) grams | (<tens> [<unit>] | <unit>) grams
                 | goodbye;
"""

NEW_WORDS = {"cockatiel": ("K AA K AH T IY L",), "budgie": ("B AH JH IY",)}


def tiny_ears() -> PocketsphinxEars:
    """The embedded ear with a grammar of a few words."""
    words = words_of(read_grammar(GRAMMAR, {}))
    return PocketsphinxEars(EngineGrammar(GRAMMAR, words, ()), NEW_WORDS)


class CuedMicrophone(SystemMicrophone):
    """The default microphone; the talk is opened as soon as it listens."""

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self._opening = str(folder / "opening.wav")

    def clips(self) -> Generator[Clip, None, None]:
        """Short clips at 16 kHz."""
        clips = super().clips()
        yield next(clips)
        threading.Timer(0.5, perform, (self._opening,)).start()
        yield from clips


class Script:
    """The answers in turn, each with what is played at the microphone after it; an onlooker too."""

    def __init__(
        self, turns: list[tuple[str, list[tuple[str, float]]]], voice: EspeakVoice, folder: Path
    ) -> None:
        self._turns = iter(turns)
        self._voice = voice
        self._folder = folder
        self.heard: list[str] = []
        self.manner = Manner()
        self.foreseen = ()

    def attend(self) -> None:
        """Not looked at."""

    def vital(self, reply: Reply) -> int:
        """Nothing but the question in it."""
        return reply.said.find("?") + 1

    def cut_short(self, reply: Reply) -> None:
        """Not looked at."""

    def voiced(self, reply: Reply) -> None:
        """Not looked at."""

    def returned(self, away_s: float) -> Turn:
        """The microphone does not go away here."""
        raise AssertionError(away_s)

    def hear(self, utterance: Heard) -> Turn:
        """The next answer."""
        self.heard.append(utterance.words)
        words, cues = next(self._turns)
        seconds = self._voice.render(words).seconds
        for recording, at_s in cues:
            delay = at_s if at_s >= 0 else seconds + at_s
            threading.Timer(delay, perform, (str(self._folder / recording),)).start()
        status = Status.IGNORED if words in ("", ".") else Status.COMMAND
        return Turn(status, None, Reply(words), ends=words == ".")

    def phase(self, phase: Phase) -> None:
        """Not looked at."""

    def loudness(self, loudness: Loudness) -> None:
        """Not looked at."""

    def turn(self, heard: Heard, turn: Turn) -> None:
        """Not looked at."""

    def notice(self, text: str) -> None:
        """Not looked at."""


def talk(
    turns: list[tuple[str, list[tuple[str, float]]]], folder: Path, *, headset: bool
) -> list[str]:
    voice = EspeakVoice(165, None)
    script = Script(turns, voice, folder)
    with record(str(folder / "answers.wav")):
        devices = CuedMicrophone(folder), SystemSpeaker()
        equipment = Equipment(tiny_ears(), voice, *devices, headset=headset, tones=False)
        converse(equipment, script, script)
    return script.heard


if __name__ == "__main__":
    result = talk(json.loads(sys.argv[1]), Path(sys.argv[2]), headset="headset" in sys.argv)
    sys.stdout.write(json.dumps(result) + "\n")
