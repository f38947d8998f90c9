"""Trials heard by each ear for itself, and what the decision can know of them, kept as lines."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path

from assistant.adapters.ears.careful import WeighedEars
from assistant.adapters.ears.signal_meter import measure
from assistant.audio import Clip
from assistant.bench.acoustic.desk import BenchDesk
from assistant.bench.acoustic.plan import Plan
from assistant.bench.acoustic.records import Part, Trial
from assistant.bench.acoustic.sound import to_clip
from assistant.bench.acoustic.store import Store
from assistant.bench.decision_fit.usual_weights import log_likelihood
from assistant.errors import DataProblem
from assistant.hearing.choosing import Ear
from assistant.hearing.decision import lead
from assistant.hearing.evidence import Evidence
from assistant.language.meaning import meaning_in
from assistant.ports import Ears
from assistant.wiring import Earbox

_MOST = 99.0
"""What stands for a margin or a strain without an end."""


@dataclass(frozen=True, slots=True)
class Reading:
    """An ear's best reading: whether it is what was said, its margin and its strain."""

    words: str
    right: bool
    margin: float
    strain: float


@dataclass(frozen=True, slots=True)
class Case:
    """One trial: what each ear made of it."""

    voice: str
    condition: str
    kind: str
    said: str
    seconds: float
    phones: Reading
    cut_off: bool
    written: Reading
    lead: float
    """The lead that the writing ear gives the reading of the phones (hearing/decision.py)."""

    other: bool
    """Whether pocketsphinx heard the same."""

    usual: float
    """The log-likelihood of the weight for the bird that the phones heard (usual_weights)."""

    snr_db: float

    @property
    def speaker(self) -> str:
        """The engine and its voice, whatever its tempo and warp."""
        return " ".join(self.voice.split()[:2])


class ThreeEars:
    """The usual ears, each asked about everything."""

    def __init__(self, desk: BenchDesk, store: Store) -> None:
        box = Earbox(desk.desk)
        self._phones, self._writing = box.phones, box.writing
        self._other = box.one(Ear.POCKETSPHINX)
        self._meaning = meaning_in(desk.lexicon)
        self._lexicon = desk.lexicon
        self._store = store

    def case(self, trial: Trial) -> Case:
        """The trial, heard by all three."""
        clip = to_clip(self._store.audio(trial).wave)
        evidence = _evidence(self._phones, clip)
        phones = self._reading(evidence, trial.phrase.text)
        writing = _evidence(self._writing, clip)
        written = self._reading(writing, trial.phrase.text)
        return Case(
            voice=trial.voice.key if trial.voice else "",
            condition=trial.condition.name,
            kind=trial.phrase.kind.value,
            said=trial.phrase.text,
            seconds=round(evidence.seconds, 3),
            phones=phones,
            cut_off=evidence.cut_off,
            written=written,
            lead=round(lead(writing, partial(self._agree, phones.words)), 4),
            other=self._agree(phones.words, _words(self._other, clip)),
            usual=log_likelihood(phones.words, self._lexicon),
            snr_db=measure(clip.pcm).snr_db,
        )

    def _reading(self, evidence: Evidence, said: str) -> Reading:
        words = evidence.readings[0].words if evidence.readings else ""
        margin, strain = (min(one, _MOST) for one in (evidence.margin, evidence.strain))
        return Reading(words, self._agree(words, said), round(margin, 4), round(strain, 4))

    def _agree(self, one: str, other: str) -> bool:
        return bool(one and other) and self._meaning(one) == self._meaning(other)


def _evidence(ear: WeighedEars, clip: Clip) -> Evidence:
    _words(ear, clip)
    return ear.evidence


def _words(ear: Ears, clip: Clip) -> str:
    ear.begin()
    ear.feed(clip)
    return ear.finish().words


def hear(desk: BenchDesk, plan: Plan, cache: Path, target: Path) -> Iterator[Case]:
    """Hear every trial and write it down as a line; gives each when it is written."""
    ears = ThreeEars(desk, Store(cache, {Part.DEVELOPMENT: plan.talkers}))
    with target.open("w", encoding="utf-8") as out:
        for trial in plan.trials:
            case = ears.case(trial)
            out.write(json.dumps(asdict(case)) + "\n")
            out.flush()
            yield case


def read_cases(path: Path) -> list[Case]:
    """The cases in a file; raises DataProblem."""
    try:
        lines = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
        return [
            Case(**one | {name: Reading(**one[name]) for name in ("phones", "written")})
            for one in lines
        ]
    except (OSError, ValueError, TypeError, KeyError) as error:
        raise DataProblem(
            f"{path} cannot be read: {error}.", "Make it again with the command hear."
        ) from error
