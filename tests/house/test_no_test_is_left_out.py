"""The guard in tests/conftest.py: a run in which a test did not really run is a failed run."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

GUARD = Path(__file__).parents[1] / "conftest.py"

RUNS = "def test_runs():\n    assert True\n"
LEFT_OUT = {
    "skipped": "import pytest\n\n@pytest.mark.skip\ndef test_one():\n    pass\n",
    "skipped inside": "import pytest\n\ndef test_one():\n    pytest.skip('not today')\n",
    "expected to fail": "import pytest\n\n@pytest.mark.xfail\ndef test_one():\n    assert False\n",
    "unexpected pass": "import pytest\n\n@pytest.mark.xfail\ndef test_one():\n    pass\n",
    "skipped whole": "import pytest\n\npytest.importorskip('no_such_library')\n",
}


def _pytest(folder: Path, *options: str) -> subprocess.CompletedProcess[str]:
    (folder / "conftest.py").write_text(GUARD.read_text(encoding="utf-8"), encoding="utf-8")
    (folder / "pytest.ini").write_text("[pytest]\n", encoding="utf-8")
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", *options, "."],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )


def test_a_run_in_which_all_ran_passes(tmp_path: Path):
    (tmp_path / "test_it.py").write_text(RUNS, encoding="utf-8")
    done = _pytest(tmp_path, "--whole")
    assert (done.returncode, "left out" in done.stdout) == (0, False), done.stdout


@pytest.mark.parametrize("way", LEFT_OUT)
def test_a_test_left_out_fails_the_run(tmp_path: Path, way: str):
    (tmp_path / "test_runs.py").write_text(RUNS, encoding="utf-8")
    (tmp_path / "test_it.py").write_text(LEFT_OUT[way], encoding="utf-8")
    done = _pytest(tmp_path)
    assert done.returncode == 1, done.stdout
    assert "left out, which fails the run" in done.stdout


@pytest.mark.parametrize(("options", "code"), [(["--whole"], 1), ([], 0)])
def test_a_deselected_test_fails_only_a_whole_run(tmp_path: Path, options: list[str], code: int):
    (tmp_path / "test_it.py").write_text(RUNS + "\n\ndef test_other():\n    pass\n", "utf-8")
    done = _pytest(tmp_path, "-k", "runs", *options)
    assert done.returncode == code, done.stdout
