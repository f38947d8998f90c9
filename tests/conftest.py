"""What every test relies on: example counts, a home of its own, and no test left out unseen."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# No deadline: a slow machine is not a wrong answer.  The fast profile draws the same examples every
# time, so that a red run is the fault of the change at hand; the thorough one draws new ones.
settings.register_profile(
    "fast",
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile(
    "thorough",
    max_examples=3000,
    deadline=None,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("fast")


@pytest.fixture(scope="session", autouse=True)
def _no_test_touches_the_keepers_own_home(
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DOSEWREN_HOME", str(tmp_path_factory.mktemp("stray") / "home"))
        yield


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A folder for a keeper's files that does not exist yet."""
    return tmp_path / "home"


LEFT_OUT = pytest.StashKey[list[str]]()


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add `--whole`, which the full run uses: there, a deselected test counts as left out too."""
    parser.addoption("--whole", action="store_true", help="fail when any test was deselected")


def pytest_configure(config: pytest.Config) -> None:
    """Begin the list of tests that did not really run."""
    config.stash[LEFT_OUT] = []
    config.pluginmanager.register(_Watch(config), "left-out-watch")


class _Watch:
    """Notes every skipped, expected-to-fail and, on a whole run, deselected test."""

    def __init__(self, config: pytest.Config) -> None:
        self.config = config
        self.left_out = config.stash[LEFT_OUT]

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.skipped:
            self.left_out.append(f"{report.nodeid}: skipped whole")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if hasattr(report, "wasxfail"):
            self.left_out.append(f"{report.nodeid}: expected to fail")
        elif report.skipped:
            self.left_out.append(f"{report.nodeid}: skipped")

    def pytest_deselected(self, items: list[pytest.Item]) -> None:
        if self.config.getoption("--whole"):
            self.left_out.extend(f"{item.nodeid}: deselected" for item in items)

    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        if self.left_out and session.exitstatus == pytest.ExitCode.OK:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        if self.left_out:
            terminalreporter.section("left out, which fails the run", red=True)
            for line in self.left_out:
                terminalreporter.write_line(line)
