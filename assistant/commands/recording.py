"""Keeping what is heard, where the keeper wants it; and `dosewren recordings`."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence

import click

from assistant.adapters.home.kept_recordings import Kept, KeptRecordings
from assistant.adapters.system_clock import SystemClock
from assistant.audio import Clip
from assistant.conversation.labelling import Label, Ledger, follow, utterance
from assistant.conversation.turn import Turn
from assistant.errors import AssistantError
from assistant.language.expected import ANYTHING, Expected
from assistant.language.heard import Heard
from assistant.ports import Ears
from assistant.session import Session
from assistant.wiring import Desk, kept_recordings, open_desk

_log = logging.getLogger(__name__)


class Recorder:
    """Keeps what a session hears, and learns from its turns what was really said.

    Without a store it keeps nothing.  A store that fails is told once and left alone: a full disk
    must not end a round.
    """

    def __init__(self, store: KeptRecordings | None) -> None:
        self._store = store
        self._ledger = Ledger()

    @property
    def keeps(self) -> bool:
        """Whether anything is kept."""
        return self._store is not None

    def keep(self, clip: Clip | None, heard: Heard, turn: Turn, session: Session) -> None:
        """Keep the clip of an utterance and label what its turn settled."""
        if self._store is None or clip is None or not clip.samples:
            return
        try:
            self._keep(self._store, clip, (heard, turn), session)
        except AssistantError as error:
            _log.warning("recordings are no longer kept: %s", error.problem)
            self._store = None

    def _keep(
        self, store: KeptRecordings, clip: Clip, outcome: tuple[Heard, Turn], session: Session
    ) -> None:
        heard, turn = outcome
        became = turn.reason or turn.status.value
        found = Kept("", "", heard.words, heard.confidence, became)

        def settled(file: str) -> Sequence[Label]:
            said = utterance(file, heard.words, session.setting.lexicon)
            self._ledger, labels = follow(self._ledger, said, turn, session.state)
            return labels

        store.keep(clip, SystemClock().now(), found, settled)


class TappedEars:
    """Ears, with the sound of the last utterance set aside until it is taken.

    They are told what is `expecting` when an utterance begins, where nobody else says it.
    """

    def __init__(self, ears: Ears, expecting: Callable[[], Expected] = lambda: ANYTHING) -> None:
        self._ears = ears
        self._expecting = expecting
        self._pcm = bytearray()

    @property
    def name(self) -> str:
        """The engines in use."""
        return self._ears.name

    @property
    def model(self) -> str:
        """The model in use."""
        return self._ears.model

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Start an utterance, and forget the one before."""
        self._pcm.clear()
        self._ears.begin(expected if expected.sayings else self._expecting())

    def feed(self, clip: Clip) -> None:
        """Take in a piece of the utterance."""
        self._pcm += clip.pcm
        self._ears.feed(clip)

    def finish(self) -> Heard:
        """What was heard."""
        return self._ears.finish()

    def deaf_to(self) -> Sequence[str]:
        """The words that the ears cannot hear."""
        return self._ears.deaf_to()

    def take(self) -> Clip | None:
        """The sound of the last utterance, once; None where none came since."""
        pcm = bytes(self._pcm)
        self._pcm.clear()
        return Clip(pcm) if pcm else None


def open_recorder(desk: Desk) -> Recorder:
    """A recorder for the desk; one that keeps nothing where the kit does not ask for it."""
    return Recorder(kept_recordings(desk) if desk.holding.kit.keep_recordings else None)


def recordings_kept(home: str | None, *, delete: bool) -> None:
    """Say where the recordings are and how to delete them, or delete them."""
    desk = open_desk(home)
    store = kept_recordings(desk)
    if delete:
        click.echo(f"Deleted: {store.clear()} recordings in {store.folder}.")
        return
    for line in about_recordings(desk):
        click.echo(line)


def about_recordings(desk: Desk) -> list[str]:
    """Where the recordings are, how many, how much, and how to be rid of them."""
    store, kit = kept_recordings(desk), desk.holding.kit
    kept = store.all()
    state = "being kept" if kit.keep_recordings else "not being kept (keep_recordings in kit.toml)"
    lines = [f"What you say is {state}. Recordings stay on this machine."]
    if not kept:
        return [*lines, f"There are none in {store.folder}."]
    known = sum(one.text is not None for one in kept)
    return [
        *lines,
        f"{len(kept)} recordings in {store.folder}.",
        f"They take {store.megabytes:.1f} MB, and never more than {kit.recordings_mb} MB.",
        f"Of {known} it is known what was said: dosewren measure uses these.",
        "To delete them all: dosewren recordings --delete",
    ]
