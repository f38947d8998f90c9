"""`dosewren screen`: the round of another window, to be glanced at from across the aviary."""

from __future__ import annotations

import time
from contextlib import closing

from assistant.adapters.screen.look import LOST, waiting
from assistant.adapters.screen.terminal import ScreenTerminal
from assistant.adapters.sharing.guest import RoundGuest
from assistant.adapters.sharing.wire import Left, Over
from assistant.commands.sharing import join_held_round
from assistant.errors import PartMissing
from assistant.wiring import Desk, open_desk

_EVERY_S = 1.0


def watch(home: str | None) -> None:
    """Show the round that is open, and the next one after it, until Ctrl-C."""
    desk = open_desk(home)
    with ScreenTerminal() as screen:
        while True:
            guest = _joined(desk, screen)
            if guest is not None:
                with closing(guest):
                    _follow(guest, screen)
            time.sleep(_EVERY_S)


def _joined(desk: Desk, screen: ScreenTerminal) -> RoundGuest | None:
    try:
        return join_held_round(desk, watches=True)
    except PartMissing as problem:
        if "No round" not in problem.problem:
            screen.take(waiting(problem.problem))
        return None


def _follow(guest: RoundGuest, screen: ScreenTerminal) -> None:
    screen.take(guest.welcome)
    for message in guest.told():
        screen.take(message)
        if isinstance(message, Left | Over):
            return
    screen.take(waiting(LOST))
