"""A host and its guests over a real socket: everybody is told, and nobody holds the others up."""

from __future__ import annotations

import os
import socket
import stat
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from pathlib import Path

import pytest

from assistant.adapters.sharing import host as round_host
from assistant.adapters.sharing.guest import RoundGuest, join_round
from assistant.adapters.sharing.host import RoundHost
from assistant.adapters.sharing.socket import PrivateSocket
from assistant.adapters.sharing.wire import Join, Left, Level, Over, Told, Welcome, as_bytes
from assistant.conversation.glance import Glance
from assistant.errors import PartMissing

GLANCE = Glance("Marigold Demo", "0 given")


class Echo:
    """A conversation that tells everybody what it was told."""

    host: RoundHost

    def welcome(self, you: str) -> Welcome:
        """Nothing happened yet."""
        return Welcome(you, "a test", "r1", "Hello.", GLANCE, 0)

    def say(self, words: str, since: int, by: str) -> Left | None:
        """Tell it to all, or let the guest go."""
        if words == "goodbye":
            return Left("Left.")
        self.host.tell(turn(words, by, since))
        return None


def turn(words: str, by: str = "voice", changes: int = 0) -> Told:
    return Told(by, words, "command", False, words, words, "", "{}", GLANCE, changes)  # noqa: FBT003 - in the order of its fields


@pytest.fixture
def private(tmp_path: Path) -> PrivateSocket:
    return PrivateSocket(tmp_path)


@pytest.fixture
def host(private: PrivateSocket) -> Iterator[RoundHost]:
    echo = Echo()
    echo.host = RoundHost(private, echo)
    yield echo.host
    echo.host.close("")


Enter = Callable[..., RoundGuest]


@pytest.fixture
def enter(host: RoundHost, private: PrivateSocket) -> Iterator[Enter]:
    """Guests of the open round, who leave at the end."""
    assert host
    with ExitStack() as stack:
        yield lambda **how: stack.enter_context(closing(join_round(private.path, **how)))


def heard(guest: RoundGuest, count: int) -> list[str]:
    told = guest.told()
    return [one.heard for one in (next(told) for _ in range(count)) if isinstance(one, Told)]


def test_what_one_says_everybody_is_told_in_the_same_order(host: RoundHost, enter: Enter):
    one, other = enter(), enter()
    assert {one.welcome.you, other.welcome.you} == {"keyboard 2", "keyboard 3"}
    one.say("given", 7)
    assert heard(other, 1) == ["given"]
    host.tell(turn("cockatiel ninety five"))
    assert heard(other, 1) == ["cockatiel ninety five"]
    assert heard(one, 2) == ["given", "cockatiel ninety five"]


def test_the_socket_is_private_and_goes_away_with_the_round(
    host: RoundHost, private: PrivateSocket
):
    assert stat.S_IMODE(private.path.stat().st_mode) == 0o600
    host.close("")
    assert not private.path.exists()


def test_a_guest_of_another_user_is_refused(enter: Enter, monkeypatch: pytest.MonkeyPatch):
    # who is at the other end is the kernel's word; another user is played by another own number
    monkeypatch.setattr(round_host, "is_same_user", lambda _: False)
    with pytest.raises(PartMissing, match="another user"):
        enter()


def test_the_kernel_tells_who_is_at_the_other_end(enter: Enter, monkeypatch: pytest.MonkeyPatch):
    own = os.geteuid()
    monkeypatch.setattr(os, "geteuid", lambda: own + 1)
    with pytest.raises(PermissionError):
        enter()


@pytest.mark.parametrize("first", [b"GET / HTTP/1.1\r\n\r\n", as_bytes(Join(99)), b"\xff\n"])
def test_a_stranger_is_refused_and_the_round_goes_on(
    host: RoundHost, private: PrivateSocket, enter: Enter, first: bytes
):
    with socket.socket(socket.AF_UNIX) as stranger:
        stranger.connect(str(private.path))
        stranger.sendall(first)
        assert b"refused" in stranger.recv(4096)
    guest = enter()
    host.tell(turn("given"))
    assert heard(guest, 1) == ["given"]


def test_a_guest_that_reads_no_more_holds_nobody_up(host: RoundHost, enter: Enter):
    sleepy, awake = enter(), enter()
    told = awake.told()
    for number in range(3000):
        host.tell(turn(f"{number} {'x' * 500}"))
        assert next(told)
    host.tell(turn("given"))
    assert next(told).heard == "given"  # type: ignore[union-attr]  # a turn, as told above
    assert len(list(sleepy.told())) < 3000, "it was let go"


def test_levels_are_for_those_who_watch(host: RoundHost, enter: Enter):
    typing, watching = enter(), enter(watches=True)
    host.tell(Level("listening", -30.0, -50.0))
    host.tell(turn("given"))
    assert isinstance(next(watching.told()), Level)
    assert heard(typing, 1) == ["given"]


def test_an_end_is_told_and_a_goodbye_is_answered(host: RoundHost, enter: Enter):
    leaving, staying = enter(), enter()
    leaving.say("goodbye", 0)
    assert list(leaving.told()) == [Left("Left.")]
    host.close("3 birds given.")
    assert list(staying.told()) == [Over("3 birds given.")]


def test_the_ninth_guest_is_told_why_not(enter: Enter):
    guests = [enter() for _ in range(8)]
    with pytest.raises(PartMissing, match="8 other windows"):
        enter()
    guests[0].say("goodbye", 0)
    assert list(guests[0].told())
    assert enter().welcome.you == "keyboard 11", "a guest that left makes room"


def test_a_home_with_a_long_name_has_its_socket_elsewhere(tmp_path: Path):
    home = tmp_path / ("long" * 30)
    home.mkdir()
    private = PrivateSocket(home)
    assert home not in private.path.parents
    assert stat.S_IMODE(private.path.parent.stat().st_mode) == 0o700
    private.close()
    assert not private.path.parent.exists()


def test_a_socket_that_a_dead_process_left_is_no_hindrance(tmp_path: Path):
    (tmp_path / "round.sock").touch()
    private = PrivateSocket(tmp_path)
    assert private.path == tmp_path / "round.sock"
    private.close()
