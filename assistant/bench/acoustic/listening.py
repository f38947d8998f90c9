"""One trial through ears and conversation: what was heard, what became of it, how long it took."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip
from assistant.bench.acoustic import recorded
from assistant.bench.acoustic.desk import BenchDesk
from assistant.bench.acoustic.keeper import answer_to
from assistant.bench.acoustic.phrases import truth_of
from assistant.bench.acoustic.records import DOSES, Kind, Phrase, Trial
from assistant.bench.acoustic.scoring import Outcome, Result
from assistant.bench.acoustic.sound import seconds_of, to_clip
from assistant.bench.acoustic.store import Store
from assistant.bench.acoustic.voices import JOINED
from assistant.conversation.turn import Status, Turn
from assistant.language.heard import Heard
from assistant.ports import Ears
from assistant.session import Session

FRAME_S = 0.1
"""How much sound an ear is given at a time, as from a sound card."""


SLOWER = 0.92
"""The tempo of an answer beside that of the request: people repeat themselves more slowly."""

_FOLLOWS = 1_000_000


@dataclass(frozen=True, slots=True)
class Took:
    """The time that an utterance cost.

    `latency_s` is what was left to do when its sound had ended, had it come in in real time.
    """

    busy_s: float
    cpu_s: float
    latency_s: float


@dataclass(frozen=True, slots=True)
class Listener:
    """Ears at the bench's desk.  `live` feeds them in real time, waiting between the frames."""

    ears: Ears
    desk: BenchDesk
    store: Store
    live: bool = False

    def judge(self, trial: Trial) -> Result:
        """The trial's result, a question answered once by the keeper included."""
        session = self.desk.session()
        first, took, seconds = self._hear(trial, session)
        then = None
        if first.status == Status.ASKED.value and trial.phrase.kind in DOSES:
            then, _, _ = self._hear(_follow_up(trial, session), session)
        phrase = trial.phrase
        return Result(
            number=trial.number,
            kind=phrase.kind,
            text=phrase.text,
            meaning=phrase.style if phrase.kind is Kind.CONTROL else "",
            truth=phrase.truth if phrase.kind in DOSES else None,
            condition=trial.condition.name,
            noise=trial.condition.noise,
            snr_db=trial.condition.snr_db,
            voice=trial.voice.key if trial.voice else "",
            style=phrase.style,
            first=first,
            then=then,
            seconds=seconds,
            busy_s=took.busy_s,
            cpu_s=took.cpu_s,
            latency_s=took.latency_s,
        )

    def _hear(self, trial: Trial, session: Session) -> tuple[Outcome, Took, float]:
        mixed = self.store.audio(trial)
        clip = to_clip(mixed.wave)
        heard, turn, took = heard_in_time(
            self.ears, frames(clip), session.hear, waits=time.sleep if self.live else None
        )
        return self._outcome(heard, turn), took, seconds_of(mixed.wave)

    def _outcome(self, heard: Heard, turn: Turn) -> Outcome:
        facts = turn.facts
        return Outcome(
            status=turn.status.value,
            intent=turn.intent.value if turn.intent else None,
            species=facts.species,
            grams=facts.grams,
            dose_ml=facts.dose.volume_ml if facts.dose else None,
            meaning=self.desk.meaning(heard.words) if heard.words else "",
            heard=heard.words,
            confidence=heard.confidence,
            reason=turn.reason,
            face=truth_of(self.desk.typed(heard.words)) if heard.words else None,
        )


def _follow_up(trial: Trial, session: Session) -> Trial:
    """The keeper's answer to the open question: the same voice, a little slower, the noise gone on.

    A recorded person says what the recordings hold.
    """
    text = answer_to(session.state.question, trial.phrase)
    voice = trial.voice
    weight = text if voice and voice.engine == JOINED and recorded.can_say(text) else ""
    return replace(
        trial,
        number=trial.number + _FOLLOWS,
        voice=replace(voice, tempo=round(voice.tempo * SLOWER, 3)) if voice else None,
        phrase=Phrase(trial.phrase.kind, text, weight=weight),
    )


def frames(clip: Clip) -> Iterator[Clip]:
    """The clip as a sound card hands it over."""
    step = int(FRAME_S * EAR_RATE_HZ) * BYTES_PER_SAMPLE
    for start in range(0, len(clip.pcm), step):
        yield Clip(clip.pcm[start : start + step], clip.rate_hz)


def heard_in_time(
    ears: Ears,
    sound: Iterator[Clip],
    decide: Callable[[Heard], Turn],
    waits: Callable[[float], None] | None = None,
) -> tuple[Heard, Turn, Took]:
    """Feed the sound, frame by frame, and decide; with the time that it took.

    Without `waits` the frames come one upon another, and what would have been waited is worked
    out: an ear starts on a frame when it has come in and the one before is done with.
    """
    begun, cpu = time.perf_counter(), time.process_time()
    ears.begin()
    come_s = done_s = busy_s = 0.0
    for clip in sound:
        come_s += clip.samples / clip.rate_hz
        if waits is not None:
            waits(max(0.0, come_s - (time.perf_counter() - begun)))
        started = time.perf_counter()
        ears.feed(clip)
        spent = time.perf_counter() - started
        busy_s += spent
        done_s = max(done_s, come_s) + spent
    started = time.perf_counter()
    heard = ears.finish()
    turn = decide(heard)
    spent = time.perf_counter() - started
    latency = max(done_s, come_s) + spent - come_s
    if waits is not None:
        latency = time.perf_counter() - begun - come_s
    return heard, turn, Took(busy_s + spent, time.process_time() - cpu, latency)
