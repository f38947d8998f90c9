"""Trials as files: a WAV for each and one line of JSON that says what is in it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import soundfile

from assistant.adapters.home.labelled_recordings import MANIFEST
from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic.records import Trial
from assistant.bench.acoustic.store import Store


def write_trials(store: Store, trials: tuple[Trial, ...], folder: Path) -> Iterator[Trial]:
    """Write the audio and the manifest of the trials, giving each one as it is done."""
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / MANIFEST).open("w", encoding="utf-8") as manifest:
        for trial in trials:
            mixed = store.audio(trial)
            name = f"{trial.phrase.kind}-{trial.number:05d}.wav"
            soundfile.write(folder / name, mixed.wave.clip(-1, 1), EAR_RATE_HZ, subtype="PCM_16")
            line = {"file": name, "speech_end": mixed.speech_end, **described(trial)}
            manifest.write(json.dumps(line, ensure_ascii=False) + "\n")
            yield trial


def described(trial: Trial) -> dict[str, object]:
    """A trial as plain data."""
    phrase, truth = trial.phrase, trial.phrase.truth
    return {
        "number": trial.number,
        "part": trial.part.value,
        "kind": phrase.kind.value,
        "text": phrase.text,
        "species": truth.species if truth else None,
        "grams": str(truth.grams) if truth else None,
        "dose_ml": str(truth.dose_ml) if truth else None,
        "intent": phrase.intent,
        "style": phrase.style,
        "voice": trial.voice.key if trial.voice else None,
        "condition": trial.condition.name,
    }
