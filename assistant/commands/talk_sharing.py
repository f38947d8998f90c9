"""A talk that other terminals take part in: what they type is mentioned, what goes on is told."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.adapters.sharing.wire import Level
from assistant.adapters.talk.live import LiveMicrophone
from assistant.adapters.talk.mentioning import MentioningMicrophone
from assistant.commands.chatting import show_other
from assistant.commands.sharing import HeldRound, told
from assistant.conversation.mention import mention
from assistant.conversation.speech import speakable
from assistant.conversation.turn import Turn
from assistant.language.heard import Channel, Heard
from assistant.ports import Loudness, Onlooker, Phase, Speaker, Voice

VOICE = Channel.VOICE.value


class SharedTalk:
    """The onlooker of a talk who tells the guests of its round, and mentions what they typed.

    With `prints` it is shown as well.
    """

    def __init__(self, held: HeldRound, *, prints: bool) -> None:
        self._held = held
        self._prints = prints
        self._phase = Phase.THINKING
        self._loudness = Loudness(0.0, 0.0)

    def microphone(
        self, microphone: LiveMicrophone, voice: Voice, speaker: Speaker
    ) -> MentioningMicrophone:
        """The microphone for the talk: between its clips, what was typed elsewhere is mentioned."""

        def say(words: str) -> None:
            speaker.play(voice.render(speakable(words)))

        def note(heard: Heard, turn: Turn) -> None:
            if heard.channel is Channel.TEXT:
                if self._prints:
                    show_other(told(heard, turn, self._held.session), VOICE)
                if words := mention(turn):
                    mentioning.mention(words)

        mentioning = MentioningMicrophone(microphone, say, lambda: self._phase is Phase.LISTENING)
        self._held.session.watch(note)
        return mentioning

    def phase(self, phase: Phase) -> None:
        """Tell it."""
        self._phase = phase
        self._tell()

    def loudness(self, loudness: Loudness) -> None:
        """Tell it."""
        self._loudness = loudness
        self._tell()

    def turn(self, heard: Heard, turn: Turn) -> None:
        """Told by the session already."""

    def notice(self, text: str) -> None:
        """For those who are there."""

    def _tell(self) -> None:
        heard = self._loudness
        self._held.tell_level(Level(self._phase.value, heard.level_db, heard.noise_db))


class Onlookers:
    """Several onlookers of one talk, told in turn."""

    def __init__(self, onlookers: Sequence[Onlooker]) -> None:
        self._onlookers = onlookers

    def phase(self, phase: Phase) -> None:
        """Tell each."""
        for one in self._onlookers:
            one.phase(phase)

    def loudness(self, loudness: Loudness) -> None:
        """Tell each."""
        for one in self._onlookers:
            one.loudness(loudness)

    def turn(self, heard: Heard, turn: Turn) -> None:
        """Tell each."""
        for one in self._onlookers:
            one.turn(heard, turn)

    def notice(self, text: str) -> None:
        """Tell each."""
        for one in self._onlookers:
            one.notice(text)
