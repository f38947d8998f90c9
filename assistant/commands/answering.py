"""`dosewren ask`: typed phrases answered, once or as one conversation."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import click

from assistant.adapters.answer_lines import answer_object, as_line
from assistant.conversation.turn import Turn
from assistant.language.heard import Heard
from assistant.wiring import open_desk

_LONGEST_LINE = 65_536
"""What is longer is cut off a line: no phrase is a hundredth of it."""


def ask_once(home: str | None, phrase: str, *, as_json: bool) -> None:
    """Answer one phrase at once, as for a dry needle."""
    session = open_desk(home).session(one_shot=True)
    heard = Heard(phrase)
    _show(heard, session.hear(heard), as_json=as_json)


def ask_lines(home: str | None, *, as_json: bool) -> None:
    """Answer each line of the standard input, as one conversation; no input at all gets a reply."""
    session = open_desk(home).session()
    click.echo(session.greeting, err=True)
    for line in _lines():
        heard = Heard(line)
        _show(heard, session.hear(heard), as_json=as_json)


def _lines() -> Iterator[str]:
    """Each line, the last one also without its end; an empty one where there is no input at all."""
    source = sys.stdin.buffer
    line = source.readline(_LONGEST_LINE)
    if not line:
        yield ""
    while line:
        yield line.decode("utf-8", errors="replace").rstrip("\r\n")
        while not line.endswith(b"\n") and line:
            line = source.readline(_LONGEST_LINE)
        line = source.readline(_LONGEST_LINE)


def _show(heard: Heard, turn: Turn, *, as_json: bool) -> None:
    click.echo(as_line(answer_object(heard, turn)) if as_json else turn.reply.for_eye)
