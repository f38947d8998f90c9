"""What terminals of one round tell each other: one JSON object a line, its kind and its fields.

    guest → holder   join, then say …
    holder → guest   welcome or refused; then told …, level …, over

Nothing that comes in is trusted: a line that is too long, is no JSON, or has a field too many, too
few or of another type raises WireProblem.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields, is_dataclass
from decimal import Decimal, InvalidOperation
from types import NoneType, UnionType
from typing import Any, Protocol, get_args, get_type_hints

from assistant.conversation.glance import Glance
from assistant.errors import AssistantError

VERSION = 1
LONGEST_LINE = 65_536
"""No message is a tenth of it, in bytes."""


class WireProblem(AssistantError):
    """Something came in that no dosewren of this version sends."""


@dataclass(frozen=True, slots=True)
class Join:
    """A guest asks to take part; one that only `watches` also wants levels."""

    version: int
    watches: bool = False


@dataclass(frozen=True, slots=True)
class Say:
    """A guest's words, and the `changes` that its terminal showed when they were begun."""

    words: str
    since: int


@dataclass(frozen=True, slots=True)
class Welcome:
    """A guest takes part, and this is how the round stands; `you` is its name in `told`."""

    you: str
    holder: str
    round_id: str
    greeting: str
    glance: Glance
    changes: int


@dataclass(frozen=True, slots=True)
class Refused:
    """A guest cannot take part."""

    why: str


@dataclass(frozen=True, slots=True)
class Told:
    """A turn of the round: what was heard from whom, and what it led to.

    `shown` is the reply for the eye, `syringe` the drawing that goes with a dose, and `answer` the
    same turn as a line of JSON for other programs.
    """

    by: str
    heard: str
    status: str
    silent: bool
    said: str
    shown: str
    syringe: str
    answer: str
    glance: Glance
    changes: int


@dataclass(frozen=True, slots=True)
class Level:
    """What the talk loop does, and how loud it is, in dBFS; only for guests that watch."""

    phase: str
    level_db: float
    noise_db: float


@dataclass(frozen=True, slots=True)
class Left:
    """The guest said goodbye, and takes part no longer."""

    said: str


@dataclass(frozen=True, slots=True)
class Over:
    """The round has ended."""

    said: str


Message = Join | Say | Welcome | Refused | Told | Level | Left | Over

_KINDS: dict[str, type[Message]] = {one.__name__.lower(): one for one in get_args(Message)}


class Stream(Protocol):
    """The part of a socket that lines are read from."""

    def recv(self, size: int, /) -> bytes:
        """Up to so many bytes; none at the end."""


def as_bytes(message: Message) -> bytes:
    """The message as a line."""
    data = {"kind": type(message).__name__.lower(), **asdict(message)}
    return json.dumps(data, default=str).encode() + b"\n"


def from_bytes(line: bytes) -> Message:
    """The message in a line; raises WireProblem."""
    try:
        data = json.loads(line)
        kind = _KINDS[data.pop("kind")]
    except (ValueError, RecursionError, LookupError, TypeError, AttributeError) as error:
        raise WireProblem("A line that is no message came in.") from error
    message: Message = _built(kind, data)
    return message


def messages(stream: Stream) -> Iterator[Message]:
    """Each message until the stream ends; half a line at its end is dropped."""
    held = b""
    while came := stream.recv(LONGEST_LINE):
        *whole, held = (held + came).split(b"\n")
        for line in whole:
            yield from_bytes(line)
        if len(held) > LONGEST_LINE:
            raise WireProblem("A line that never ends came in.")


def _built(kind: type[Any], data: object) -> Any:  # noqa: ANN401 - a value of the kind
    if not isinstance(data, dict) or data.keys() - {one.name for one in fields(kind)}:
        raise WireProblem(f"A {kind.__name__.lower()} with other fields came in.")
    try:
        hints = get_type_hints(kind)
        return kind(**{name: _value(hints[name], value) for name, value in data.items()})
    except (TypeError, InvalidOperation) as error:
        raise WireProblem(f"A {kind.__name__.lower()} that is not whole came in.") from error


def _value(hint: Any, value: object) -> object:  # noqa: ANN401 - whatever a field may be
    if isinstance(hint, UnionType):
        options = get_args(hint)
        if value is None and NoneType in options:
            return None
        (hint,) = (one for one in options if one is not NoneType)
    if is_dataclass(hint):
        return _built(hint, value)  # type: ignore[arg-type]  # a class, never an instance
    if hint is Decimal and isinstance(value, str):
        return Decimal(value)
    if hint is float and type(value) is int:
        return float(value)
    if type(value) is not hint:
        raise TypeError(f"not a {hint}")
    return value
