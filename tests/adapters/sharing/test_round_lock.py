"""One round at a time in a home, and the next one as soon as the process is gone."""

from __future__ import annotations

import stat
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.adapters.sharing.lock import Holder, RoundLock
from assistant.errors import DataProblem

HOLDS = """
import sys, time
from pathlib import Path
from assistant.adapters.sharing.lock import Holder, RoundLock
lock = RoundLock(Path(sys.argv[1]))
assert lock.take()
lock.sign(Holder(1234, "dosewren talk", "08:30"))
print("held", flush=True)
time.sleep(600)
"""


def test_a_killed_process_holds_nothing(tmp_path: Path):
    path = tmp_path / "round.lock"
    command = [sys.executable, "-c", HOLDS, str(path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "held\n"
        lock = RoundLock(path)
        assert not lock.take()
        holder = lock.holder()
        assert holder is not None
        assert holder.said == "dosewren talk, since 08:30, process 1234"
        other.kill()
        other.wait()
        assert lock.take()
        lock.release()


def test_only_its_owner_can_read_it(tmp_path: Path):
    lock = RoundLock(tmp_path / "round.lock")
    assert lock.take()
    assert stat.S_IMODE((tmp_path / "round.lock").stat().st_mode) == 0o600
    lock.release()


@pytest.mark.parametrize("text", ["", "{", "[]", '{"process": 1}', "\x00\xff", '{"nobody": 1}'])
def test_a_file_of_nonsense_names_nobody(tmp_path: Path, text: str):
    (tmp_path / "round.lock").write_text(text, "latin-1")
    assert RoundLock(tmp_path / "round.lock").holder() is None


def test_a_released_lock_names_nobody_and_can_be_taken_again(tmp_path: Path):
    lock = RoundLock(tmp_path / "round.lock")
    for _ in range(2):
        assert lock.take()
        lock.sign(Holder(1, "dosewren", "08:30"))
        lock.release()
        assert lock.holder() is None


def test_a_place_that_cannot_be_written_is_told_with_what_to_do(tmp_path: Path):
    with pytest.raises(DataProblem, match="cannot be written"):
        RoundLock(tmp_path / "nowhere" / "round.lock").take()
