"""A whole round through two virtual sound devices: `python whole_round.py HOME FOLDER`.

Runs inside the virtual sound card.  Writes into FOLDER what was said and answered (exchanges.json)
and the sound of each answered dose, as it came out of the speaker (answer-N.wav).
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.sound.wav_writer import write_wav
from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic.chance import generator
from assistant.bench.acoustic.noises import noise
from assistant.bench.acoustic.records import Voice
from assistant.bench.acoustic.sound import Wave, decibels
from assistant.bench.live.assistants import talking
from assistant.bench.live.keeper import LEVEL, Keeper
from assistant.bench.live.script import DONE, Bird, Order, Reply, Step, Talk, given
from assistant.bench.live.tapes import Mouth, Tape
from assistant.conversation.cutting import CUT_SHORT

SNR_DB = 20.0
NOISE_S = 30
PATIENCE = 12

VOICES = (
    Voice("flite", "rms"),
    Voice("espeak", "en-us+m3", 0.95),
    Voice("festival", "kal_diphone"),
    Voice("flite", "slt"),
)
"""Several keepers, who take turns at the birds."""

GUESTS = Voice("flite", "awb")

BIRDS: Sequence[tuple[Bird, str]] = (
    (Bird("Cockatiel", 85, "cockatiel", first="no eighty five grams"), "given"),
    (Bird("Budgerigar", 31, "budgerigar"), "given"),
    (Bird("Princess parrot", 112, "princess parrot"), "not given"),
    (Bird("Cockatiel", 102, "cockatiel"), "part given"),
    (Bird("Eastern rosella", 98, "eastern rosella"), "given"),
    (Bird("Sun conure", 104, "sun conure"), "given"),
    (Bird("Zebra finch", 14, "zebra finch"), "given"),
    (Bird("Cockatiel", 96, "cockatiel"), "given"),
    (Bird("Quaker parrot", 97, "quaker parrot"), "given"),
    (Bird("Rainbow lorikeet", 128, "rainbow lorikeet"), "given"),
    (Bird("Crimson rosella", 131, "crimson rosella"), "given"),
    (Bird("Galah", 320, "galah"), "given"),
)
"""Species, grams, and how each dose ends."""

MISREAD = Bird("Cockatiel", 95, "cockatiel")
"""What the first keeper read from the scale, and corrects once it is read back."""

INTERRUPTED, GOSSIP_BEFORE, SCRATCH_BEFORE, SPOILT = 1, 4, 5, 7
"""At or before which bird, from 0, the keeper says "given" into the volume, people chat, a dose is
scratched, and a door bangs."""

MISTAKE = Bird("Budgerigar", 45, "budgerigar")
"""A dose that is answered, and scratched before it is given."""

GOSSIP = ("did you see the match on sunday", "no we were painting the kitchen")


def bang(wave: Wave) -> Wave:
    """The phrase with a door falling shut in place of the last word of its number."""
    first, last = (round(len(wave) * part) for part in (0.6, 0.8))
    length = last - first + EAR_RATE_HZ // 10
    fading = np.exp(-np.arange(length) / (EAR_RATE_HZ * 0.12))
    spoilt = wave.copy()
    spoilt[first:last] = 0
    burst = 16 * LEVEL * generator("a door").standard_normal(length) * fading
    spoilt[first : first + length] += burst[: len(spoilt) - first]
    return spoilt


def unspoilt(wave: Wave) -> Wave:
    return wave


@dataclass(frozen=True, slots=True)
class Hasty:
    """Says "given" while the volume is still being spoken; it must not count."""

    bird: Bird

    def hold(self, keeper: Keeper, voice: Voice) -> bool:
        """Until it was cut into; a "given" that nobody heard is no interruption."""
        phrase = self.bird.opening
        for _ in range(PATIENCE):
            entry = keeper.begin(phrase, voice)
            phrase = self.bird.react(Reply(entry.status, entry.reply)) if entry else phrase
            if phrase == DONE:
                cut = keeper.interrupt("given", voice)
                if cut is not None and cut.reason == CUT_SHORT:
                    return True
                phrase = "scratch that"
        return False


def hold(keeper: Keeper) -> bool:
    """The round; false as soon as something cannot be brought about."""
    steps: list[tuple[Step | Hasty, Voice, bool]] = [(Order("yes", "Ready"), VOICES[0], False)]
    steps += [(MISREAD, VOICES[0], False)]
    for number, (bird, end) in enumerate(BIRDS):
        voice = VOICES[number % len(VOICES)]
        if number == GOSSIP_BEFORE:
            steps += [(Talk(words), GUESTS, False) for words in GOSSIP]
        if number == SCRATCH_BEFORE:
            steps += [(MISTAKE, voice, False), (Order("scratch that", "Scratched"), voice, False)]
        ask, tell = given(bird, end)
        asking = Hasty(bird) if number == INTERRUPTED else ask
        steps += [(asking, voice, number == SPOILT), (tell, voice, False)]
        if number == 0:
            steps += [(Order("short answers", "Short answers"), voice, False)]
    steps += [(Order("how many done", "10 birds given"), VOICES[0], False)]
    steps += [(Order("goodbye", "Goodbye"), VOICES[0], False)]
    return all(
        step.hold(keeper, voice)
        if isinstance(step, Hasty)
        else keeper.go_through(step, voice, bang if spoilt else unspoilt)
        for step, voice, spoilt in steps
    )


def main(home: Path, folder: Path) -> int:
    hiss = noise("chirps", generator("an aviary"), NOISE_S * EAR_RATE_HZ, lambda _: np.zeros(1))
    mouth = Mouth("stage_mouth", hiss * LEVEL / decibels(SNR_DB))
    with Tape("stage_ear") as ear, mouth, talking(home, ["--headset"]) as assistant:
        assistant.until("listening")
        keeper = Keeper(mouth, ear, SqliteRegister(home / "register.sqlite"))
        done = hold(keeper)
        code = assistant.ends() if done else None
    report = []
    for number, one in enumerate(keeper.exchanges):
        row: dict[str, object] = {"said": one.said, "voice": one.voice}
        if one.entry is not None:
            row |= {"heard": one.entry.heard, "status": one.entry.status, "reply": one.entry.reply}
        report.append({**row, "seconds": round(one.answered_s - one.asked_s, 1)})
        if one.entry is not None and one.entry.status == "answered":
            write_wav(ear.clip(one.asked_s, one.answered_s), folder / f"answer-{number}.wav")
    (folder / "exchanges.json").write_text(json.dumps(report, indent=1), "utf-8")
    sys.stdout.write("".join(assistant.shown))
    return 0 if code == 0 else 1


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), Path(sys.argv[2])))
