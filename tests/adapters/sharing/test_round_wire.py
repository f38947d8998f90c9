"""What terminals tell each other: whole or refused, whatever the pieces that come in."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.sharing.wire import (
    LONGEST_LINE,
    Join,
    Left,
    Level,
    Message,
    Over,
    Say,
    Told,
    Welcome,
    WireProblem,
    as_bytes,
    from_bytes,
    messages,
)
from assistant.conversation.glance import Glance, OpenDose

ML = st.decimals(min_value=0, max_value=20, places=3)
DOSES = st.builds(OpenDose, volume_ml=ML, draw_to_ml=ML | st.none(), syringe_ml=ML)
GLANCES = st.builds(Glance, open=DOSES | st.none())
TOLD = st.builds(Told, glance=GLANCES)
WELCOMES = st.builds(Welcome, glance=GLANCES)
LEVELS = st.builds(Level, level_db=st.floats(-99, 0), noise_db=st.floats(-99, 0))
ANY: st.SearchStrategy[Message] = st.one_of(
    st.builds(Join), st.builds(Say), WELCOMES, TOLD, LEVELS, st.builds(Left), st.builds(Over)
)


class Pieces:
    """A stream that hands out what it has in pieces of a size."""

    def __init__(self, content: bytes, size: int) -> None:
        self._left, self._size = content, size

    def recv(self, size: int, /) -> bytes:
        """The next piece."""
        assert size >= self._size
        piece, self._left = self._left[: self._size], self._left[self._size :]
        return piece


@given(st.lists(ANY, max_size=4), st.integers(1, 400))
def test_every_message_arrives_as_it_was_sent_in_whatever_pieces(sent: list[Message], size: int):
    stream = Pieces(b"".join(map(as_bytes, sent)), size)
    assert list(messages(stream)) == sent


def test_a_volume_stays_exact():
    dose = OpenDose("Pip", "95 g", Decimal("0.10"), None, Decimal(1), "dry needle", fictional=True)
    over_there = from_bytes(as_bytes(Welcome("k", "h", "r", "", Glance("m", "0", dose), 0)))
    assert isinstance(over_there, Welcome)
    assert str(over_there.glance.open and over_there.glance.open.volume_ml) == "0.10"


@given(st.binary(max_size=300))
def test_whatever_comes_in_is_a_message_or_a_problem(junk: bytes):
    with pytest.raises(WireProblem):
        from_bytes(junk)


@pytest.mark.parametrize(
    "line",
    [
        {"kind": "say", "words": "given"},
        {"kind": "say", "words": "given", "since": "1"},
        {"kind": "say", "words": "given", "since": True},
        {"kind": "say", "words": None, "since": 1},
        {"kind": "say", "words": "given", "since": 1, "as": "root"},
        {"kind": "dose", "ml": "9"},
        {"kind": ["say"]},
        {"kind": "welcome", "you": "k", "holder": "", "round_id": "", "greeting": "", "changes": 0,
         "glance": {"medicine": "m", "done": "", "open": {"volume_ml": "many"}}},
    ],
)  # fmt: skip
def test_a_message_with_something_amiss_is_refused(line: object):
    with pytest.raises(WireProblem):
        from_bytes(json.dumps(line).encode())


def test_a_line_without_end_is_refused_before_it_fills_the_memory():
    with pytest.raises(WireProblem, match="never ends"):
        list(messages(Pieces(b"x" * (3 * LONGEST_LINE), LONGEST_LINE)))
