"""The bench of an enrolment keeps away from what is only ever measured on."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from assistant.bench.acoustic.parts import declared, read_voice
from assistant.bench.acoustic.records import Part
from assistant.bench.enrol_bench import UNSEEN, main
from assistant.errors import UsageProblem


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--voice", "flite rms 1.0 1.0"), "belongs to the test part"),
        (("--voice", "flite rms 0.8 1.3"), "belongs to the test part"),
        (("--noise", "parrots"), "no noise of the development part"),
    ],
)
def test_voices_and_noises_of_the_test_part_are_refused(options: tuple[str, ...], told: str):
    done = CliRunner().invoke(main, options)
    assert isinstance(done.exception, UsageProblem)
    assert told in done.exception.problem


def test_the_usual_voice_is_in_neither_part():
    unseen = read_voice(UNSEEN)
    heard = {(one.engine, one.name) for part in Part for one in declared(part).voices}
    assert (unseen.engine, unseen.name) not in heard
