"""The phrases of `dosewren enrol` before a microphone, on a sound card made of software."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from assistant.adapters.home.setting_up import make_demo
from assistant.adapters.sound.recordings import read_recording
from assistant.hearing.enrolment import phrases
from assistant.wiring import open_desk, open_ears, open_home

ROOT = Path(__file__).parents[2]
SERVER = ROOT / "tests" / "adapters" / "sound_server.py"
SCENE = ROOT / "tests" / "end_to_end" / "reading_scene.py"


def test_each_phrase_is_shown_spoken_and_recorded(tmp_path: Path):
    home = str(tmp_path / "home")
    make_demo(open_home(home))
    desk = open_desk(home)
    texts = [one.text for one in phrases(desk.holding.aviary)[:2]]
    files = [str(tmp_path / f"said{number}.wav") for number in range(2)]
    for file, text in zip(files, texts, strict=True):
        subprocess.run(["flite", "-voice", "rms", "-t", text, "-o", file], check=True)
    scene = [sys.executable, str(SERVER), sys.executable, str(SCENE), home, str(tmp_path), *files]
    done = subprocess.run(
        scene, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True,
        timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert [text for text in texts if f": {text}\n" not in done.stdout] == []
    ears = open_ears(desk, None)
    for number, text in enumerate(texts):
        ears.begin()
        ears.feed(read_recording(tmp_path / f"{number}.wav"))
        assert ears.finish().words.split()[0] == text.split()[0]
