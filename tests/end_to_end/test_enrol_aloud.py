"""The phrases of `dosewren enrol` before a microphone, on a sound card made of software."""

from __future__ import annotations

import subprocess
from pathlib import Path

from assistant.adapters.home.setting_up import make_demo
from assistant.adapters.sound.recordings import read_recording
from assistant.hearing.enrolment import phrases
from assistant.wiring import open_desk, open_ears, open_home
from tests.end_to_end.scenes import play


def test_each_phrase_is_shown_spoken_and_recorded(tmp_path: Path):
    home = str(tmp_path / "home")
    make_demo(open_home(home))
    desk = open_desk(home)
    texts = [one.text for one in phrases(desk.holding.aviary)[:2]]
    files = [str(tmp_path / f"said{number}.wav") for number in range(2)]
    for file, text in zip(files, texts, strict=True):
        subprocess.run(["flite", "-voice", "rms", "-t", text, "-o", file], check=True)
    done = play("reading_scene", home, tmp_path, *files, limit_s=300)
    assert done.returncode == 0, done.stderr
    assert [text for text in texts if f": {text}\n" not in done.stdout] == []
    ears = open_ears(desk, None)
    for number, text in enumerate(texts):
        ears.begin()
        ears.feed(read_recording(tmp_path / f"{number}.wav"))
        assert ears.finish().words.split()[0] == text.split()[0]
