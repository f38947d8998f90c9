"""Clean speech kept in a cache folder, and every trial's audio made from it.

The name of a file follows from voice and words, and a file is put in place whole, so several runs
may share a folder.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np

from assistant.adapters.sound.recordings import read_recording
from assistant.bench.acoustic import recorded
from assistant.bench.acoustic.chance import pick
from assistant.bench.acoustic.mixing import Mixed, mix
from assistant.bench.acoustic.records import Part, Phrase, Trial, Voice
from assistant.bench.acoustic.sound import FULL_SCALE, Wave, from_pcm, speech_level
from assistant.bench.acoustic.voices import JOINED, OWN, RECORDING, base_of, speech

_PEAK = 0.9
_BETWEEN_S = 0.06


def default_cache(environment: Mapping[str, str]) -> Path:
    """Where audio is kept when no folder is given, by the XDG base directory specification."""
    root = environment.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return Path(root) / "dosewren" / "acoustic"


@dataclass(frozen=True, slots=True)
class Store:
    """Speech made once and kept; `talkers` are who is heard in the background, by part."""

    folder: Path
    talkers: Mapping[Part, tuple[tuple[Voice, str], ...]]

    def audio(self, trial: Trial) -> Mixed:
        """What the ear is given; raises EngineUnavailable where a voice is missing."""
        clean = np.zeros(0) if trial.voice is None else self.clean(trial.voice, trial.phrase)

        def talk(chance: np.random.Generator) -> Wave:
            voice, words = pick(chance, self.talkers[trial.part])
            return self._said(voice, words)

        return mix(trial, clean, talk)

    def clean(self, voice: Voice, phrase: Phrase) -> Wave:
        """The phrase in this voice, without room or noise."""
        if voice.engine == JOINED:
            base = base_of(voice)
            return self._joined(base, phrase) if phrase.weight else self._said(base, phrase.text)
        return self._said(voice, phrase.text)

    def _joined(self, voice: Voice, phrase: Phrase) -> Wave:
        """The weight as recorded, everything around it in the other voice, at one loudness."""
        before, _, after = phrase.text.partition(phrase.weight)
        pieces = [self._said(voice, before.strip())] if before.strip() else []
        pieces.append(recorded.said(phrase.weight))
        pieces += [self._said(voice, after.strip())] if after.strip() else []
        gap = np.zeros(int(_BETWEEN_S * 16_000))
        level = [part for one in pieces for part in (one / speech_level(one) * 0.1, gap)]
        return np.concatenate(level[:-1])

    def _said(self, voice: Voice, words: str) -> Wave:
        if voice.engine == OWN:
            return from_pcm(read_recording(Path(voice.name)).pcm)
        if voice.engine == RECORDING:
            return recorded.recording(Path(voice.name))
        return _kept(self.folder, voice, words)


@lru_cache(maxsize=16)
def _kept(folder: Path, voice: Voice, words: str) -> Wave:
    digest = hashlib.blake2b(f"{voice.key}|{words}".encode(), digest_size=16).hexdigest()
    path = folder / "speech" / digest[:2] / f"{digest}.pcm"
    if path.is_file():
        return from_pcm(path.read_bytes())
    wave = speech(voice, words)
    pcm = _as_pcm(wave)
    _put(path, pcm)
    return from_pcm(pcm)


def _as_pcm(wave: Wave) -> bytes:
    loudest = float(np.max(np.abs(wave), initial=1e-6))
    return np.rint(wave / loudest * _PEAK * (FULL_SCALE - 1)).astype("<i2").tobytes()


def _put(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
    Path(name).replace(path)
