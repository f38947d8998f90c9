"""Scenes in text files: what a keeper says, and all that comes of it, as somebody approved it.

    ## a title that says what the scene shows
    : how it begins, by the names in `circumstances`
    > typed words
    !> typed words whose rows cannot be written
    ) 0.55 heard words / 0.3 what else it may have been
    ) 0.7? words that the ear wants asked about, however likely
    ~ 2 h later
    ... the microphone is back after 95 s

After each of these come, from the conversation itself, the reply sentence by sentence, the rows
for the register after a `+`, and in brackets the status, the reason and what is listened for.
`python -m tests.approved.playing` writes them anew; the difference is to be read before it stays.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path

import click

from assistant.conversation.expecting import expected
from assistant.conversation.glance import Glance, glance
from assistant.conversation.machine import unwritten
from assistant.conversation.moment import Moment
from assistant.conversation.returning import returned
from assistant.conversation.turn import Turn
from assistant.language.expected import Expected
from assistant.language.heard import Alternative, Channel, Heard
from tests.approved.circumstances import Scene, at_the_start
from tests.approved.rows import facts_line, row_lines
from tests.talk_scene import Talk

FILES = tuple(sorted(Path(__file__).parent.glob("*.txt")))

_SENTENCE_END = re.compile(r"(?<=[.?!]) ")
_LATER = re.compile(r"(\d+) (h|min|s) later")
_BACK = re.compile(r"... the microphone is back after (\d+) s")


@dataclass(frozen=True, slots=True)
class Written:
    """One scene of a file: its title, and its lines."""

    title: str
    lines: tuple[str, ...]


def scenes_of(text: str) -> Iterator[Written]:
    """The scenes of a file, in their order."""
    for part in re.split(r"^## ", text, flags=re.MULTILINE)[1:]:
        title, *lines = part.rstrip().split("\n")
        yield Written(title, tuple(lines))


def played(written: Written) -> list[str]:
    """The lines of a scene as the conversation has them now."""
    begins = [line for line in written.lines if line.startswith(": ")]
    scene = at_the_start(begins[0].removeprefix(": "))
    lines = [begins[0]]
    for line in written.lines:
        if line.startswith("~ "):
            scene.talk.at += _time(line)
            lines.append(line)
        elif line.startswith((">", ") ", "!>", "...")):
            lines += [line, *_came_of_it(scene, _turn(scene.talk, line))]
    return lines


def _time(line: str) -> timedelta:
    found = _LATER.search(line)
    assert found, f"no time in {line!r}"
    return int(found[1]) * {"h": timedelta(hours=1), "min": timedelta(minutes=1)}.get(
        found[2], timedelta(seconds=1)
    )


def _turn(talk: Talk, line: str) -> Turn:
    before = talk.state
    if found := _BACK.match(line):
        moment = Moment(talk.setting, talk.at, None)
        talk.state, turn = returned(before, moment, timedelta(seconds=int(found[1])))
        return turn
    turn = talk.say(heard=_heard(line))
    if line.startswith("!"):
        talk.state, turn = unwritten(before, talk.state, turn)
    return turn


def _heard(line: str) -> Heard:
    if line.startswith((">", "!>")):
        return Heard(line.lstrip("!> "))
    first, *others = (_said(part) for part in line.removeprefix(") ").split(" / "))
    heard = Heard(first.words, first.confidence, tuple(others), Channel.VOICE, "ear")
    return replace(heard, doubtful="? " in line)


def _said(part: str) -> Alternative:
    share, _, words = part.strip().partition(" ")
    return Alternative(words, float(share.removesuffix("?")))


def _came_of_it(scene: Scene, turn: Turn) -> Iterator[str]:
    reply = turn.reply.for_eye.split("\n") if scene.on_screen else [turn.reply.said]
    for line in reply:
        yield from (f"    {one}" for one in _SENTENCE_END.split(line))
    yield from (f"    + {one}".rstrip() for one in row_lines(turn, whole=scene.whole_rows))
    if scene.whole_rows:
        yield f"    knows {facts_line(turn) or 'nothing'}"
    if scene.on_screen:
        yield from _seen(glance(scene.talk.state))
    yield f"    [{', '.join(filter(None, [*_outcome(turn), *_awaited(scene)]))}]"


def _outcome(turn: Turn) -> Iterator[str]:
    yield turn.status.value + (f" {turn.reason}" if turn.reason else "")
    yield f"tone {turn.cue.value}" if turn.cue else ""
    yield "ends" if turn.ends else ""


def _awaited(scene: Scene) -> Iterator[str]:
    awaited: Expected = expected(scene.talk.state, scene.talk.setting)
    names = ", ".join(dict.fromkeys(one.name for one in (*awaited.birds, *awaited.species)))
    grams = ", ".join(f"{one} g" for one in awaited.grams)
    sayings = " ".join(sorted(awaited.sayings))
    yield " of ".join(filter(None, [f"awaits {sayings}" if sayings else "", names, grams]))


def _seen(seen: Glance) -> Iterator[str]:
    yield f"    = {seen.medicine}; {seen.done}; {'asks' if seen.asks else 'asks nothing'}"
    if seen.open:
        one = seen.open
        mark = f"draw to {one.draw_to_ml} mL" if one.draw_to_ml else "no mark"
        yield f"    = {one.who}, {one.weight}: {one.volume_ml} mL of {one.syringe_ml}, {mark}"
        yield f"    = {one.needle}{', fictional' if one.fictional else ''}"
    if not seen.awake:
        yield "    = asleep"


def rewritten(text: str) -> str:
    """A file of scenes with what the conversation does now in the place of what was approved."""
    head, *_ = re.split(r"^## ", text, maxsplit=1, flags=re.MULTILINE)
    scenes = ("\n".join([f"## {one.title}", *played(one)]) for one in scenes_of(text))
    return f"{head.rstrip()}\n\n" + "\n\n".join(scenes) + "\n"


if __name__ == "__main__":
    for file in FILES:
        file.write_text(rewritten(file.read_text("utf-8")), "utf-8")
        click.echo(f"{file.name}: read what git diff shows before it stays.")
