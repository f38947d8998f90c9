"""The built wheel, installed in an empty environment far from the checkout, is the whole tool."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import venv
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def _run(
    folder: Path, *words: str | Path, timeout_s: int = 900
) -> subprocess.CompletedProcess[str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    return subprocess.run(
        [str(word) for word in words],
        cwd=folder,
        env={**kept, "PYTHONUTF8": "1"},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
        timeout=timeout_s,
    )


@dataclass(frozen=True)
class Installed:
    """The installed wheel: its file, the environment's programs, and a folder to work in."""

    wheel: Path
    programs: Path
    folder: Path

    def dosewren(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run the installed command in the folder to work in."""
        return _run(self.folder, self.programs / "dosewren", *words)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from the source archive as a package index would have it."""
    out = tmp_path_factory.mktemp("built")
    done = _run(ROOT, sys.executable, "-m", "build", "--no-isolation", "--outdir", out, ROOT)
    assert done.returncode == 0, done.stdout + done.stderr
    (built,) = out.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Installed:
    """An empty environment into which only the wheel and what it asks for went."""
    place = tmp_path_factory.mktemp("elsewhere")
    venv.create(place / "environment", with_pip=True)
    programs = place / "environment" / "bin"
    install = ("-m", "pip", "install", "--quiet", "--retries", "5", wheel)
    tries = (_run(place, programs / "python", *install) for _ in range(3))
    done = next((done for done in tries if done.returncode == 0), None)
    assert done, "three times, pip could not install the wheel"
    (place / "work").mkdir()
    return Installed(wheel, programs, place / "work")


def _contents(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


def _data(folder: str) -> set[Path]:
    found = (path for path in (ROOT / folder).rglob("*") if path.is_file())
    return {
        path.relative_to(ROOT) for path in found if path.suffix != ".pyc" and path.name[0] != "."
    }


def test_the_wheel_holds_every_file_of_the_package_and_the_grammar(wheel: Path):
    expected = {str(path) for path in _data("assistant")}
    expected |= {f"assistant/{path}" for path in _data("grammar")}
    assert {name for name in _contents(wheel) if name.startswith("assistant/")} == expected


def test_the_grammar_and_the_species_table_are_among_them(wheel: Path):
    names = _contents(wheel)
    assert any(name.startswith("assistant/grammar/") and name.endswith(".jsgf") for name in names)
    assert any("species" in name and name.endswith((".csv", ".toml")) for name in names)


def test_the_wheel_holds_no_test_and_no_recording(wheel: Path):
    tops = {name.split("/")[0] for name in _contents(wheel)}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"assistant"}
    assert [name for name in _contents(wheel) if name.endswith(".wav")] == []


def test_the_installed_command_runs_from_its_own_copy(installed: Installed):
    where = "import assistant, pathlib; print(pathlib.Path(assistant.__file__).resolve())"
    done = _run(installed.folder, installed.programs / "python", "-c", where)
    assert str(installed.programs.parent.resolve()) in done.stdout, done.stdout + done.stderr


def test_the_installed_command_explains_itself(installed: Installed):
    done = installed.dosewren("--help")
    assert done.returncode == 0, done.stderr
    assert {"ask", "hear", "talk", "check", "setup", "register"} <= set(done.stdout.split())


def test_the_installed_command_answers_a_typed_bird(installed: Installed):
    made = installed.dosewren("setup", "--demo", "--home", "keeper")
    assert made.returncode == 0, made.stdout + made.stderr
    done = installed.dosewren("ask", "--json", "--home", "keeper", "cockatiel ninety five grams")
    assert done.returncode == 0, done.stdout + done.stderr
    answer = json.loads(done.stdout)
    said = (answer["status"], answer["intent"], answer["species"], answer["grams"])
    assert said == ("answered", "dose", "Cockatiel", 95)


def test_the_installed_embedded_ear_hears_a_recording(installed: Installed):
    made = installed.dosewren("setup", "--demo", "--home", "listener")
    assert made.returncode == 0, made.stdout + made.stderr
    recordings = sorted(map(str, (ROOT / "fixtures" / "demo").glob("*.wav")))
    done = installed.dosewren("hear", "--json", "--home", "listener", *recordings)
    assert done.returncode == 0, done.stdout + done.stderr
    statuses = [json.loads(line)["status"] for line in done.stdout.splitlines()]
    assert len(statuses) == len(recordings)
    assert {"answered", "asked"} <= set(statuses)
