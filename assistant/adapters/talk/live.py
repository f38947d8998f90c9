"""The talk loop: hear an utterance, answer it aloud, listen again.

Half duplex, the usual way: it listens only while it is silent.  Nothing that is said over an
answer is heard, "stop" neither: on a loudspeaker our own voice reaches the microphone louder than
the keeper's, half of a weight heard through it is another dose, and an answer that names the word
it listens for would stop itself.  So answers are short, and whoever talks across the end of one
gets the tone that asks to say it again.

With a headset it listens while it speaks.  What is heard then and gets an answer cuts the old one
short; when that began before the volume or the question was out, the conversation is told, and
repeats it before it takes a "given" or a "yes".  A sound that runs like what is being played is our
own voice after all, and is not heeded.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import replace
from itertools import chain, islice

from assistant.adapters.sound.endpointing import GAP, Detection, Endpointer, Utterance
from assistant.adapters.sound.sound_check import SoundCheck
from assistant.adapters.talk.attentive import Attentive
from assistant.adapters.talk.ports import Equipment, LiveMicrophone, Partner, Told
from assistant.adapters.talk.remembering_voice import RememberingVoice
from assistant.adapters.talk.speaking import Saying, Speech
from assistant.audio import Clip
from assistant.conversation.turn import Cue, Reply, Turn
from assistant.errors import AudioProblem, EngineUnavailable
from assistant.language.heard import Heard
from assistant.language.requests import Intent
from assistant.ports import Onlooker, Phase

_TOO_PROMPT_S = 0.1
_GLANCE_S = 0.01
_THINKS_LONG_S = 0.7
_TRY_AGAIN_S = 2.0
_DELAY_S = 0.3
"""How late sound comes in from a microphone, at most: what was out then was out before it."""

__all__ = ["Equipment", "LiveMicrophone", "Partner", "converse"]

_log = logging.getLogger(__name__)


def converse(
    equipment: Equipment, partner: Partner, onlooker: Onlooker, opening: Turn | None = None
) -> None:
    """Say the opening, then answer each utterance until an answer ends the talk.

    An utterance of which nothing can be made, also because the ears fail on it, is answered as one
    without words; ears that fail three times in a row raise EngineUnavailable, and so does a voice
    that fails.  An answer that the speaker does not play is said again when it plays: until then
    the keeper has not heard it, and the conversation knows.  A speaker that fails on the opening
    raises AudioProblem.
    """
    with closing(equipment.microphone.clips()) as clips:
        _Loop(equipment, partner, onlooker).run(clips, opening)


class _Loop:
    """One talk, clip by clip."""

    def __init__(self, equipment: Equipment, partner: Partner, onlooker: Onlooker) -> None:
        self._equipment = equipment
        self._partner = partner
        self._onlooker = Told(onlooker)
        self._attentive = Attentive(equipment.ears)
        self._endpointer = Endpointer(Detection())
        self._listened_s = 0.0
        self._hears = False
        self._ended = False
        self._voice = RememberingVoice(equipment.voice)
        self._check = SoundCheck()
        self._unsaid: Turn | None = None
        self._trouble: AudioProblem | None = None
        self._silent_since = 0.0
        self._spoken_over: Saying | None = None
        self._silent_from_s = 0.0
        self._deaf_since: float | None = None

    def run(self, clips: Iterator[Clip], opening: Turn | None) -> None:
        self._clips = clips
        if opening is not None:
            self._answer_with(opening)
            if self._trouble is not None:
                raise self._trouble
        for clip in clips:
            self._take(clip)
            if self._ended:
                return
        for utterance in self._endpointer.end():
            self._answer(utterance)

    def _take(self, clip: Clip) -> None:
        self._mind_gaps(clip)
        for utterance in self._heard_in(clip):
            self._answer(utterance)
        if self._unsaid and time.monotonic() - self._silent_since > _TRY_AGAIN_S:
            self._say_again(self._unsaid)
        self._look(clip)

    def _heard_in(self, clip: Clip) -> list[Utterance]:
        """What ends in a clip, taken out as a whole: an answer to it may be listened over."""
        self._listened_s += clip.seconds
        return list(self._endpointer.take(clip))

    def _look(self, clip: Clip) -> None:
        """Tell the onlooker what is to be seen."""
        if clip == GAP:
            return
        self._mind_begin()
        self._onlooker.phase(Phase.HEARING if self._hears else Phase.LISTENING)
        if trouble := self._check.listen(clip):
            self._advise(trouble, aloud=True)
        if not self._hears:
            self._prepare()
        self._onlooker.loudness(self._endpointer.loudness, clip.seconds)

    def _mind_gaps(self, clip: Clip) -> None:
        """Say that the microphone is gone, where the speaker is not, and that it is back."""
        if clip == GAP and self._deaf_since is None:
            self._deaf_since = time.monotonic()
            self._onlooker.phase(Phase.DEAF)
            self._onlooker.notice(_GONE)
            self._play_words(_GONE)
        elif clip != GAP and self._deaf_since is not None:
            away_s = time.monotonic() - self._deaf_since
            self._deaf_since = None
            turn = self._partner.returned(away_s)
            self._onlooker.turn(self._attentive.nothing, turn)
            self._answer_with(turn)

    def _answer(self, utterance: Utterance) -> None:
        if self._spoken_over is not None and self._overlaps(self._spoken_over, utterance):
            return
        self._onlooker.phase(Phase.THINKING)
        if utterance.complete and self._was_quiet_before(utterance):
            with self._thinking():
                turn = self._hear(self._attentive.hear(utterance.clip))
            self._answer_with(turn)
            if not (turn.silent or self._ended):
                self._advise(*self._check.judge(utterance.clip))
            return
        turn = self._hear(self._attentive.nothing)
        self._answer_with(turn)
        if turn.silent and utterance.complete:
            self._play_tone(Cue.NOT_UNDERSTOOD)

    def _advise(self, advice: str, aloud: bool) -> None:  # noqa: FBT001 - what the check hands over
        if advice:
            self._onlooker.notice(advice)
        if advice and aloud:
            self._play_words(advice)

    def _prepare(self) -> None:
        """Have one of the sentences ready that may be wanted next."""
        speech = Speech(self._voice, self._partner.manner)
        # a voice that fails is told of when it has something to say
        with suppress(EngineUnavailable):
            any(speech.prepare(one) for one in self._partner.foreseen)

    def _overlaps(self, saying: Saying, utterance: Utterance) -> bool:
        """Whether what ended after an answer is that answer itself."""
        out_s = saying.played.seconds
        began_s = out_s + self._listened_s - self._silent_from_s - utterance.began_ago_s
        if began_s >= out_s + _DELAY_S:
            return False
        if saying.is_own(utterance.clip, began_s):
            return True
        self._mind_vital(saying, began_s)
        return False

    def _hear(self, heard: Heard) -> Turn:
        turn = self._partner.hear(heard)
        self._onlooker.turn(heard, turn)
        return turn

    def _was_quiet_before(self, utterance: Utterance) -> bool:
        """Whether listening had begun before the speech did."""
        return self._listened_s - utterance.began_ago_s > _TOO_PROMPT_S

    @contextmanager
    def _thinking(self) -> Iterator[None]:
        """Play a tone where this takes long, and wait for its end."""
        timer = threading.Timer(_THINKS_LONG_S, self._play_tone, (Cue.THINKING,))
        timer.start()
        try:
            yield
        finally:
            timer.cancel()
            timer.join()

    def _answer_with(self, turn: Turn) -> None:
        """Speak a turn, and each that cuts the one before short."""
        following: Turn | None = turn
        while following is not None:
            turn = following
            self._ended = turn.ends
            if turn.silent:
                if turn.cue is not None:
                    self._play_tone(turn.cue)
                return
            following = self._try_to_speak(turn)

    def _try_to_speak(self, turn: Turn) -> Turn | None:
        self._onlooker.phase(Phase.SPEAKING)
        try:
            following = self._speak(turn)
        except AudioProblem as problem:
            self._keep_unsaid(turn, problem)
            return None
        self._unsaid = self._trouble = None
        if not self._equipment.headset:
            self._listen_anew()
        return following

    def _speak(self, turn: Turn) -> Turn | None:
        """Say a turn; what comes back is the one that cut it short."""
        speech = Speech(self._voice, self._partner.manner)
        pieces = speech.pieces(turn.reply.said)
        # what is rendered while the stream runs comes out behind all the silence that it holds
        first = list(islice(pieces, 1))
        with self._equipment.speaker.begin() as playback:
            saying = Saying(turn.reply, playback, self._partner.vital(turn.reply))
            if turn.cue is not None and self._equipment.tones:
                saying.add(speech.tone(turn.cue), 0)
            for piece in chain(first, pieces):
                saying.add(piece.clip, piece.upto)
            if self._gives_turn(turn):
                saying.add(speech.tone(Cue.LISTENING), len(turn.reply.said))
            return self._while_out(saying)

    def _gives_turn(self, turn: Turn) -> bool:
        """Whether the keeper is told by a tone that it listens again."""
        leaves = turn.ends or turn.intent is Intent.STOP
        return self._equipment.tones and not self._equipment.headset and not leaves

    def _while_out(self, saying: Saying) -> Turn | None:
        """Wait until all is out; with a headset, listen meanwhile."""
        told = False
        while not saying.playback.is_out:
            if not told and saying.vital_is_out(saying.playback.out_s):
                told = True
                self._partner.voiced(saying.reply)
            turn = self._meanwhile(saying)
            if turn is not None:
                return turn
        self._partner.voiced(saying.reply)
        if self._equipment.headset:
            self._spoken_over, self._silent_from_s = saying, self._listened_s
        return None

    def _meanwhile(self, saying: Saying) -> Turn | None:
        """The turn that what is said over the answer leads to, where that cuts it short."""
        if not self._equipment.headset or self._deaf_since is not None or self._ended:
            time.sleep(_GLANCE_S)
            return None
        clip = next(self._clips, GAP)
        if clip == GAP:
            time.sleep(_GLANCE_S)
        for utterance in self._heard_in(clip):
            turn = self._interrupted(saying, utterance)
            if turn is not None:
                return turn
        self._mind_begin()
        return None

    def _interrupted(self, saying: Saying, utterance: Utterance) -> Turn | None:
        began_s = saying.playback.out_s - utterance.began_ago_s
        if not utterance.complete or saying.is_own(utterance.clip, began_s):
            return None
        heard = self._attentive.hear(utterance.clip)
        self._mind_vital(saying, began_s)
        turn = self._hear(heard)
        return None if turn.silent else turn

    def _mind_vital(self, saying: Saying, began_s: float) -> None:
        """Tell the conversation where somebody began to speak before what is vital was out."""
        if not saying.vital_is_out(began_s - _DELAY_S):
            self._partner.cut_short(saying.reply)

    def _mind_begin(self) -> None:
        """Tell the conversation that somebody begins to speak."""
        hears = self._endpointer.is_hearing
        if hears and not self._hears:
            self._partner.attend()
        self._hears = hears

    def _listen_anew(self) -> None:
        """Drop what came in while we made a sound."""
        self._equipment.microphone.forget()
        self._listened_s = 0.0

    def _keep_unsaid(self, turn: Turn, problem: AudioProblem) -> None:
        if self._unsaid is None:
            self._onlooker.notice(f"{problem} I will say it again when it plays.")
        self._partner.cut_short(turn.reply)
        self._unsaid, self._trouble = turn, problem
        self._silent_since = time.monotonic()

    def _say_again(self, turn: Turn) -> None:
        reply = Reply(f"{_WAS_MUTE} {turn.reply.said}", f"{_WAS_MUTE}\n{turn.reply.for_eye}")
        again = replace(turn, reply=reply)
        self._answer_with(again)
        if self._unsaid is again:
            self._unsaid = turn

    def _play_tone(self, cue: Cue) -> None:
        if self._equipment.tones:
            self._play(Speech(self._voice, self._partner.manner).tone(cue))

    def _play_words(self, words: str) -> None:
        for piece in Speech(self._voice, self._partner.manner).pieces(words):
            self._play(piece.clip)

    def _play(self, clip: Clip) -> None:
        """Play what nobody acts on: where it cannot be played, nothing is lost."""
        try:
            self._equipment.speaker.play(clip)
        except AudioProblem as problem:
            _log.warning("a sound could not be played: %s", problem)
        if not self._equipment.headset:
            self._listen_anew()


_WAS_MUTE = "The speaker was gone."
_GONE = "The microphone is gone: I hear nothing. Plug it in again; I wait for it."
