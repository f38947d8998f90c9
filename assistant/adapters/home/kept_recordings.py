"""The keeper's own recordings, kept only where the kit says so: they never leave the machine.

The manifest is written anew, whole, at every change; a recording that it does not name is the rest
of a write that was cut off, and is cleared away with the next one.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import count
from pathlib import Path

from assistant.adapters.home.filing import make_folder, staged
from assistant.adapters.home.labelled_recordings import MANIFEST, manifest_lines
from assistant.adapters.sound.wav_writer import write_wav
from assistant.audio import Clip
from assistant.conversation.labelling import Label
from assistant.errors import DataProblem

MEGABYTE = 1_000_000
_MEND = "Correct the line, or start afresh with: dosewren recordings --delete"

Settled = Callable[[str], Iterable[Label]]

_KINDS = {"text": str, "heard": str, "became": str, "label": str}


@dataclass(frozen=True, slots=True)
class Kept:
    """One recording: what was heard in it, how surely, and what became of it.

    `text` is what was really said, once that is known, and `label` how it came to be known.
    """

    file: str
    at: str
    heard: str
    confidence: float
    became: str
    text: str | None = None
    label: str | None = None

    @property
    def line(self) -> str:
        """Its line of the manifest."""
        data: dict[str, object] = {
            "file": self.file, "at": self.at, "heard": self.heard,
            "confidence": round(self.confidence, 4), "became": self.became,
        }  # fmt: skip
        if self.text is not None:
            data |= {"text": self.text, "label": self.label}
        return json.dumps(data, ensure_ascii=False)


class KeptRecordings:
    """The folder `recordings` of a home, bounded to `most_mb` megabytes of sound.

    What goes first is the oldest without a label, then the oldest of all.  Every method raises
    DataProblem, PartMissing or AudioProblem where the folder cannot be read or written.
    """

    def __init__(self, folder: Path, most_mb: int) -> None:
        self.folder = folder
        self._most_bytes = most_mb * MEGABYTE

    def all(self) -> tuple[Kept, ...]:
        """Every recording, the oldest first."""
        manifest = self.folder / MANIFEST
        if not manifest.exists():
            return ()
        lines = manifest_lines(manifest, _MEND)
        return tuple(_read(line, f"{manifest}, line {n}") for n, line in enumerate(lines, start=1))

    def keep(self, clip: Clip, at: datetime, found: Kept, settled: Settled = lambda _: ()) -> str:
        """Keep a clip; gives the name of its file, which takes the place of the one in `found`.

        `settled` gets that name and gives the labels that are known by now, of this recording or
        earlier ones; one that is gone meanwhile is passed over.
        """
        make_folder(self.folder)
        file = self._free_name(at)
        write_wav(clip, self.folder / file)
        kept = [*self.all(), replace(found, file=file, at=at.isoformat(timespec="seconds"))]
        labels = {one.file: one for one in settled(file)}
        self._write([_labelled(one, labels.get(one.file)) for one in kept])
        return file

    def clear(self) -> int:
        """Delete every recording and the manifest; gives how many recordings there were."""
        sounds = self._sounds()
        self._delete([*sounds, self.folder / MANIFEST])
        return len(sounds)

    @property
    def megabytes(self) -> float:
        """How much the sound takes on the disk."""
        return sum(path.stat().st_size for path in self._sounds()) / MEGABYTE

    def _free_name(self, at: datetime) -> str:
        names = (f"{at:%Y%m%d-%H%M%S}-{number:03d}.wav" for number in count(1))
        return next(name for name in names if not (self.folder / name).exists())

    def _write(self, kept: Sequence[Kept]) -> None:
        left = self._bounded(kept)
        with staged(self.folder / MANIFEST, "".join(f"{one.line}\n" for one in left)) as waiting:
            waiting.take_place()
        named = {one.file for one in left}
        self._delete([path for path in self._sounds() if path.name not in named])

    def _bounded(self, kept: Sequence[Kept]) -> list[Kept]:
        sizes = {path.name: path.stat().st_size for path in self._sounds()}
        left = [one for one in kept if one.file in sizes]
        surplus = sum(sizes[one.file] for one in left) - self._most_bytes
        gone = set()
        # the newest is what this is about, so it stays
        for one in sorted(left[:-1], key=lambda one: one.text is not None):
            if surplus <= 0:
                break
            surplus -= sizes[one.file]
            gone.add(one.file)
        return [one for one in left if one.file not in gone]

    def _sounds(self) -> list[Path]:
        return sorted(self.folder.glob("*.wav"))

    def _delete(self, paths: Iterable[Path]) -> None:
        for path in paths:
            try:
                path.unlink(missing_ok=True)
            except OSError as error:
                raise DataProblem(
                    f"{path} cannot be deleted: {error.strerror}.", "Delete the folder by hand."
                ) from error


def _labelled(one: Kept, label: Label | None) -> Kept:
    if label is None:
        return one
    sort = label.sort.value if label.sort else None
    return replace(one, text=label.text, label=sort)


def _read(line: str, place: str) -> Kept:
    with suppress(ValueError, KeyError, TypeError, AttributeError):
        entry: Mapping[str, object] = json.loads(line)
        confidence = entry.get("confidence", 0.0)
        wrong = [key for key, kind in _KINDS.items() if not isinstance(entry.get(key, ""), kind)]
        if not wrong and isinstance(confidence, int | float):
            text, label = entry.get("text"), entry.get("label")
            return Kept(
                file=Path(str(entry["file"])).name,
                at=str(entry.get("at", "")),
                heard=str(entry.get("heard", "")),
                confidence=float(confidence),
                became=str(entry.get("became", "")),
                text=None if text is None else str(text),
                label=None if label is None else str(label),
            )
    raise DataProblem(f"{place} cannot be read: this is not a recording.", _MEND)
