"""One trial through ears and conversation: what was heard, what became of it, how long it took."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass, is_dataclass, replace

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
from assistant.language.expected import ANYTHING, Expected
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
    """The time that an utterance cost, by the clock and by the processor.

    The latencies are what was left to do when its sound had ended, had it come in in real time.
    That by processor time is what one free core would need, whatever else the machine does.
    """

    busy_s: float
    cpu_s: float
    latency_s: float
    latency_cpu_s: float


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
            latency_cpu_s=took.latency_cpu_s,
        )

    def _hear(self, trial: Trial, session: Session) -> tuple[Outcome, Took, float]:
        mixed = self.store.audio(trial)
        clip = to_clip(mixed.wave)
        heard, turn, took = heard_in_time(
            self.ears,
            frames(clip),
            session.hear,
            waits=time.sleep if self.live else None,
            expected=session.expected,
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
            evidence=evidence_of(self.ears, heard),
        )


def evidence_of(ears: Ears, heard: Heard) -> Mapping[str, object] | None:
    """What else was heard, and what the ears keep under `evidence`, as plain data."""
    said: dict[str, object] = {}
    if heard.alternatives:
        said["alternatives"] = [[one.words, one.confidence] for one in heard.alternatives]
    kept = getattr(ears, "evidence", None)
    if is_dataclass(kept) and not isinstance(kept, type):
        said["ears"] = asdict(kept)
    return said or None


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
    expected: Expected = ANYTHING,
) -> tuple[Heard, Turn, Took]:
    """Feed the sound, frame by frame, and decide; with the time that it took.

    Without `waits` the frames come one upon another, and what would have been waited is worked
    out: an ear starts on a frame when it has come in and the one before is done with.
    """
    begun = time.perf_counter()
    watch = _Watch()
    ears.begin(expected)
    for clip in sound:
        watch.come_s += clip.samples / clip.rate_hz
        if waits is not None:
            waits(max(0.0, watch.come_s - (time.perf_counter() - begun)))
        watch.start()
        ears.feed(clip)
        watch.stop()
    watch.start()
    heard = ears.finish()
    turn = decide(heard)
    watch.stop()
    took = watch.took()
    if waits is not None:
        took = replace(took, latency_s=time.perf_counter() - begun - watch.come_s)
    return heard, turn, took


@dataclass(slots=True)
class _Watch:
    """Two clocks, of the wall and of the processor, and when the work on the sound is done."""

    come_s: float = 0.0
    busy: tuple[float, float] = (0.0, 0.0)
    done: tuple[float, float] = (0.0, 0.0)
    _started: tuple[float, float] = (0.0, 0.0)

    def start(self) -> None:
        """Work begins on what has come in."""
        self._started = (time.perf_counter(), time.process_time())

    def stop(self) -> None:
        """That work is done."""
        now = (time.perf_counter(), time.process_time())
        spent = (now[0] - self._started[0], now[1] - self._started[1])
        self.busy = (self.busy[0] + spent[0], self.busy[1] + spent[1])
        waited = (max(self.done[0], self.come_s), max(self.done[1], self.come_s))
        self.done = (waited[0] + spent[0], waited[1] + spent[1])

    def took(self) -> Took:
        """What it all cost."""
        wall, processor = (done - self.come_s for done in self.done)
        return Took(self.busy[0], self.busy[1], wall, processor)
