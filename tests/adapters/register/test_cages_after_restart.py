"""The count of a cage comes back from the register: after a restart, and from another terminal."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.system_clock import SystemClock
from assistant.conversation.turn import Turn
from assistant.language.heard import Heard
from assistant.session import Session
from tests.talk_scene import setting


def opened(folder: Path, number: str) -> Session:
    """A round of its own on the register in the folder."""
    register = SqliteRegister(folder / "register.sqlite")
    return Session(replace(setting(), round_id=number), register, SystemClock())


def say(one: Session, *phrases: str) -> Turn:
    return [one.hear(Heard(phrase)) for phrase in phrases][-1]


def test_after_a_restart_a_cage_is_done_as_far_as_it_was(tmp_path: Path):
    say(opened(tmp_path, "r1"), "yes", "cage four two birds", "cockatiel 95", "given")
    again = opened(tmp_path, "r2")
    assert "Cage 4. Say cage 4 and how many" in say(again, "yes", "cage four").reply.said
    assert say(again, "cockatiel 95").reason == "cage_count"
    assert "1 of 2 done." in say(again, "cage four two birds").reply.said
    assert say(again, "cockatiel 90").facts.dose is not None
    assert say(again, "given", "cockatiel 90").reason == "cage_done"


def test_another_terminal_sees_what_was_done_and_what_was_scratched(tmp_path: Path):
    one, other = opened(tmp_path, "r1"), opened(tmp_path, "r2")
    say(other, "yes", "cage four two birds")
    say(one, "yes", "cage four two birds", "cockatiel 95", "given")
    assert say(other, "who is left").reply.said == "Cage 4: 1 of 2 done, 1 left."
    say(one, "scratch that")
    assert say(other, "who is left").reply.said == "Cage 4: 0 of 2 done, 2 left."


def test_what_was_said_of_the_sex_survives_in_the_register(tmp_path: Path):
    say(opened(tmp_path, "r1"), "yes", "cage four", "female cockatiel 95", "given")
    register = SqliteRegister(tmp_path / "register.sqlite")
    cages = register.dosed_since(0).cages
    assert {key: cage and cage.done for key, cage in cages.items()} == {("4", "Marigold Demo"): 1}
