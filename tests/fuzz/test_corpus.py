"""Every input that fuzzing began with or that once broke something, run without a fuzzer."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzz.targets import TARGETS

CORPUS = Path(__file__).with_name("corpus")
INPUTS = [(file.parent.name, file) for file in sorted(CORPUS.glob("*/*"))]


@pytest.mark.parametrize(
    ("target", "file"), INPUTS, ids=[f"{name}-{file.name}" for name, file in INPUTS]
)
def test_no_input_breaks_its_target(target: str, file: Path):
    TARGETS[target](file.read_bytes())


def test_every_target_has_inputs_to_begin_with():
    assert {name for name, _ in INPUTS} == set(TARGETS)
