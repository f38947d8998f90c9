"""Sound for the ears to hear: spoken by programs in the test, or made of numbers."""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.sound.recordings import read_recording
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.language.heard import Heard
from assistant.ports import Ears

Samples = NDArray[np.float64]

ROOT = Path(__file__).parents[1]

SMALL_JSGF = """#JSGF V1.0;
grammar small;
public <said> = <bird> <number> grams | given | not given | wrong bird | say again | help;
<bird> = galah | cockatiel | budgerigar | sun conure | indian ringneck | king parrot;
<digit> = one | two | three | four | five | six | seven | eight | nine;
<tens> = twenty | thirty | forty | fifty | sixty | seventy | eighty | ninety;
<below> = <digit> | <tens> [<digit>] | ten | twelve | thirteen | fourteen | fifteen;
<number> = <below> | <digit> hundred [and <below>];
"""


def say(words: str, voice: str = "flite:rms", rate_wpm: int = 150) -> Clip:
    """Words spoken by flite or espeak-ng, with half a second of digital silence around them."""
    program, _, name = voice.partition(":")
    with tempfile.TemporaryDirectory() as folder:
        path = str(Path(folder) / "spoken.wav")
        command = {
            "flite": ["flite", "-voice", name, "-t", words, "-o", path],
            "espeak": ["espeak-ng", "-v", name, "-s", str(rate_wpm), "-w", path, words],
        }[program]
        subprocess.run(command, check=True)
        spoken = read_recording(Path(path))
    quiet = bytes(EAR_RATE_HZ)
    return Clip(quiet + spoken.pcm + quiet)


def clip_of(samples: Samples) -> Clip:
    """Samples from -1 to 1 at 16 kHz as a clip."""
    return Clip(np.clip(np.round(samples * 32767), -32768, 32767).astype("<i2").tobytes())


def hear(ears: Ears, clip: Clip) -> Heard:
    """One clip as one utterance."""
    ears.begin()
    ears.feed(clip)
    return ears.finish()


def noise(seconds: float, loudness: float, seed: int = 2) -> Samples:
    """White noise of this root mean square."""
    return np.random.default_rng(seed).normal(0, loudness, int(seconds * EAR_RATE_HZ))


def birdsong(seconds: float) -> Samples:
    """Chirps that sweep and tremble, as of an aviary; invented, the same each time."""
    rng = np.random.default_rng(5)
    sound = np.zeros(int(seconds * EAR_RATE_HZ))
    for _ in range(int(seconds * 6)):
        length = int(rng.integers(800, 6000))
        start = int(rng.integers(0, sound.size - length))
        time_s = np.arange(length) / EAR_RATE_HZ
        sweep = rng.uniform(1500, 5000) * time_s + rng.uniform(-4000, 4000) * time_s**2
        tremble = 20 * np.sin(2 * np.pi * rng.uniform(10, 60) * time_s)
        chirp = np.hanning(length) * np.sin(2 * np.pi * (sweep + tremble))
        sound[start : start + length] += chirp * rng.uniform(0.1, 0.4)
    return np.clip(sound, -1, 1)
