"""Every error a keeper can meet, in one tree.

    AssistantError            1   our own failure
    ├── UsageProblem          2   the command was written wrongly
    ├── DataProblem           3   a keeper's file says something that cannot be used
    └── PartMissing           5   something needed is not there
        ├── EngineUnavailable     a speech engine or its model
        ├── AudioProblem          a microphone, a speaker or a recording
        └── RegisterProblem       the register cannot be read or written

The number is the exit code of the command.  An expected outcome of a conversation (a refusal, a
question, nothing understood) is a value, never an exception.
"""

from __future__ import annotations

from typing import ClassVar


class AssistantError(Exception):
    """A failure told to the keeper in two lines: what is wrong, and what to do."""

    exit_code: ClassVar[int] = 1

    def __init__(self, problem: str, remedy: str = "") -> None:
        super().__init__(problem)
        self.problem = problem
        self.remedy = remedy


class UsageProblem(AssistantError):
    """The command line was not understood."""

    exit_code = 2


class DataProblem(AssistantError):
    """A keeper's file cannot be used as it stands; the problem names the file and the place."""

    exit_code = 3


class PartMissing(AssistantError):
    """A part that this command cannot do without is missing."""

    exit_code = 5


class EngineUnavailable(PartMissing):
    """A speech engine, its model or its system library cannot be loaded."""


class AudioProblem(PartMissing):
    """A microphone, a speaker or a recording cannot be used."""


class RegisterProblem(PartMissing):
    """The register cannot be opened, read or written."""
