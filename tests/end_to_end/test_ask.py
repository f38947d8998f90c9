"""The real `ask` and `setup --demo`, each in a process of its own."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pytest

Answer = dict[str, object]

KEYS: dict[str, type | tuple[type, ...]] = {
    "heard": str, "status": str, "intent": (str, type(None)), "species": (str, type(None)),
    "grams": (int, float, type(None)), "confidence": (int, float), "medicine": (str, type(None)),
    "dose_ml": (str, type(None)), "dose_ml_exact": (str, type(None)), "reply": str,
}  # fmt: skip
"""What every line holds, and of which type; more may be added."""

PLACE = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
"""Where the package is, for a process that begins in another folder."""

ASK = ("ask", "--home", "home", "--json")


def dosewren(folder: Path, *words: str, typed: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "assistant", *words],
        cwd=folder,
        env=PLACE,
        input=typed,
        capture_output=True,
        check=False,
    )


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    """A folder with the demo set up in `home`."""
    assert dosewren(tmp_path, "setup", "--demo", "--home", "home").returncode == 0
    return tmp_path


def answers(folder: Path, *words: str, typed: bytes = b"") -> list[Answer]:
    done = dosewren(folder, *ASK, *words, typed=typed)
    assert done.returncode == 0, done.stderr
    lines = [json.loads(line) for line in done.stdout.decode().splitlines()]
    for line in lines:
        assert {key for key, kind in KEYS.items() if not isinstance(line[key], kind)} == set()
    return lines


def test_one_phrase_is_answered_as_data(demo: Path):
    (answer,) = answers(demo, "cockatiel ninety five grams")
    expected = {
        "heard": "cockatiel ninety five grams", "status": "answered", "intent": "dose",
        "species": "Cockatiel", "grams": 95, "confidence": 1, "medicine": "Marigold Demo",
        "dose_ml": "0.47", "dose_ml_exact": "0.475",
    }  # fmt: skip
    assert {key: answer[key] for key in expected} == expected
    assert str(answer["reply"]).startswith("Cockatiel, 95 grams. 0.47 mL of Marigold Demo")


def test_words_need_no_quotes(demo: Path):
    assert answers(demo, "cockatiel", "95", "g")[0]["dose_ml"] == "0.47"


@pytest.mark.parametrize(
    ("phrase", "expected"),
    [
        ("cockatiel 950 g", ["asked", "dose", "Cockatiel", 950]),
        ("cockatiel", ["asked", "dose", "Cockatiel", None]),
        ("macaw 1.2 kg", ["asked", "dose", None, 1200]),
        ("ostrich 95 g", ["asked", "dose", None, 95]),
        ("zebra finch 12.5 g", ["answered", "dose", "Zebra finch", 12.5]),
        ("given", ["command", "given", None, None]),
        ("which medicine", ["command", "medicine", None, None]),
        ("bag is twelve", ["command", "tare", None, None]),
        ("lovely weather", ["ignored", None, None, None]),
        ("", ["ignored", None, None, None]),
        ("x" * 10_240, ["ignored", None, None, None]),
    ],
)
def test_each_status_carries_what_was_understood(demo: Path, phrase: str, expected: list[object]):
    (answer,) = answers(demo, phrase)
    assert [answer[key] for key in ("status", "intent", "species", "grams")] == expected
    assert (answer["dose_ml"] is not None) == (answer["status"] == "answered")
    assert bool(answer["reason"]) == (answer["status"] in ("asked", "ignored") or phrase == "given")
    assert answer["heard"] == phrase


def test_volumes_are_decimals_without_a_unit(demo: Path):
    (answer,) = answers(demo, "galah eleven ounces")
    volume, exact = Decimal(str(answer["dose_ml"])), Decimal(str(answer["dose_ml_exact"]))
    assert abs(volume - exact) <= Decimal("0.05")
    assert isinstance(answer["grams"], float)


def test_a_conversation_on_standard_input_gives_a_line_for_each_line(demo: Path):
    typed = b"cockatiel ninety five\nyes\ngiven\nbudgie 31\r\nbudgie 30\nnot given\n\ngoodbye"
    lines = answers(demo, "-", typed=typed)
    assert [line["status"] for line in lines] == [
        "asked", "answered", "command", "answered", "asked", "answered", "ignored", "asked",
    ]  # fmt: skip
    assert [line["heard"] for line in lines][3:5] == ["budgie 31", "budgie 30"]
    assert lines[1]["dose_ml"] == "0.47"


def test_the_round_is_announced_beside_the_answers(demo: Path):
    done = dosewren(demo, *ASK, "-", typed=b"yes\n")
    assert b"Marigold Demo, 25 mg per mL, diluted 1 in 10" in done.stderr
    assert len(done.stdout.splitlines()) == 1


def test_no_input_at_all_gets_a_reply(demo: Path):
    assert [line["status"] for line in answers(demo, "-")] == ["ignored"]


def test_a_line_of_any_length_and_bytes_gives_one_line(demo: Path):
    typed = b"cockatiel " * 30_000 + b"\n\xff\xfe\x00\x07\n" + "🐦 кокатиэль\n".encode()
    lines = answers(demo, "-", typed=typed)
    assert len(lines) == 3
    assert all(line["dose_ml"] is None for line in lines)


def test_a_double_dash_ends_the_options(demo: Path):
    (answer,) = answers(demo, "--", "-95", "g", "cockatiel")
    assert answer["reason"] == "negative"
    assert dosewren(demo, "ask", "--home", "home", "--", "--json").returncode == 0


@pytest.mark.parametrize("words", [["ask"], ["ask", "--nonsense", "x"], ["aks", "x"]])
def test_wrong_usage_is_exit_code_2(demo: Path, words: list[str]):
    done = dosewren(demo, *words)
    assert done.returncode == 2
    assert done.stderr
    assert not done.stdout


def test_a_missing_home_is_exit_code_5(tmp_path: Path):
    done = dosewren(tmp_path, *ASK, "cockatiel 95")
    assert done.returncode == 5
    assert b"dosewren setup" in done.stderr
    assert b"Traceback" not in done.stderr


def test_a_broken_file_is_exit_code_3_with_its_place(demo: Path):
    (demo / "home" / "kit.toml").write_text('keeper = "Demo"\nscale_step = = "1 g"\n')
    done = dosewren(demo, *ASK, "cockatiel 95")
    assert done.returncode == 3
    assert b"line 2" in done.stderr


def test_text_is_for_the_eye(demo: Path):
    shown = dosewren(demo, "ask", "--home", "home", "cockatiel 95").stdout.decode()
    assert shown.startswith("Cockatiel, 95 grams.\n0.47 mL of Marigold Demo")
    assert "unprimed, only 0.27 mL would reach the bird" in shown


def test_both_the_answer_and_its_end_are_in_the_register(demo: Path):
    answers(demo, "-", typed=b"yes\ncockatiel 95\ngiven\npepper 90\nspat it out\n")
    listed = dosewren(demo, "register", "--home", "home", "--csv").stdout.decode()
    rows = list(csv.DictReader(io.StringIO(listed)))
    assert [row["species"] for row in rows] == ["Cockatiel", "Cockatiel"]
    text = listed.lower()
    assert "given" in text
    assert "part_given" in text


def test_a_named_bird_is_guarded_after_a_restart(demo: Path):
    answers(demo, "-", typed=b"yes\npepper 95\npart given\n")
    (answer,) = answers(demo, "pepper 95 grams")
    assert (answer["status"], answer["reason"]) == ("asked", "already_dosed")
    assert "Pepper had 0.47 mL of Marigold Demo" in str(answer["reply"])
    assert answers(demo, "saffron 31")[0]["status"] == "answered"


def test_a_dose_that_was_only_asked_for_guards_nothing(demo: Path):
    answers(demo, "pepper 95")
    assert answers(demo, "pepper 95")[0]["status"] == "answered"


def test_an_unwritable_register_loses_no_answer_and_takes_no_end(demo: Path):
    register = demo / "home" / "register.sqlite"
    register.unlink(missing_ok=True)
    register.mkdir()
    lines = answers(demo, "-", typed=b"yes\npepper 95\ngiven\nbudgie 31\ngiven\npepper 95\n")
    statuses = [line["status"] for line in lines]
    assert statuses == ["command", "answered", "command", "answered", "command", "asked"]
    assert "cannot be written" in str(lines[1]["reply"])
    assert "guard against double doses is off" in str(lines[1]["reply"])
    paper = "Write it on paper: given, Pepper, Cockatiel, 95 grams, 0.47 mL."
    assert paper in str(lines[2]["reply"])
    assert lines[5]["reason"] == "already_dosed", "this conversation still knows"


def test_the_demo_can_be_set_up_twice_and_overwrites_nothing(tmp_path: Path):
    first = dosewren(tmp_path, "setup", "--demo", "--home", "new/home")
    assert first.returncode == 0
    birds = tmp_path / "new" / "home" / "birds.toml"
    birds.write_text("# mine\n")
    before = {path.name: path.read_bytes() for path in birds.parent.iterdir()}
    assert dosewren(tmp_path, "setup", "--demo", "--home", "new/home").returncode == 0
    assert {path.name: path.read_bytes() for path in birds.parent.iterdir()} == before
    assert answers_in(tmp_path / "new")["status"] == "answered"


def answers_in(folder: Path) -> Answer:
    return answers(folder, "cockatiel 95")[0]


def test_text_mode_loads_no_library_of_sound_or_speech(demo: Path):
    program = (
        "import runpy, sys\n"
        "sys.argv = ['dosewren', 'ask', '--home', 'home', 'cockatiel 95 grams']\n"
        "try:\n"
        "    runpy.run_module('assistant', run_name='__main__')\n"
        "finally:\n"
        "    print(' '.join(sorted(sys.modules)), file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=demo, env=PLACE, capture_output=True, check=False
    )
    loaded = {name.partition(".")[0] for name in done.stderr.decode().split()}
    assert b"0.47 mL" in done.stdout
    assert "assistant" in loaded
    sound = {"sounddevice", "soundfile", "soxr", "pyttsx3", "pocketsphinx", "vosk"}
    assert sorted(loaded & (sound | {"espeakng_loader", "_sounddevice", "onnxruntime"})) == []
