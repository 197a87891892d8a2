"""The options of the tests: write kept texts anew, and count what is skipped as failed."""

import os
import signal
from collections.abc import Iterator
from typing import Any

import pytest

# as purgecalc itself has it: the tests run on all cores already, and threads that wait for each other burn them
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from tests.blasts import remember

remember()


for _name in ("SIGINT", "SIGHUP"):
    # a run that was started in the background ignores them, and so would every command it starts
    if hasattr(signal, _name) and signal.getsignal(getattr(signal, _name)) is signal.SIG_IGN:
        signal.signal(getattr(signal, _name), signal.default_int_handler if _name == "SIGINT" else signal.SIG_DFL)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--refresh-golden", action="store_true", help="write the kept notes anew instead of comparing with them")
    parser.addoption("--no-skips", action="store_true", help="a test that is skipped, for want of a tool, counts as failed")


@pytest.fixture
def refresh_golden(request: pytest.FixtureRequest) -> bool:
    """Whether kept texts are to be written anew."""
    return bool(request.config.getoption("--refresh-golden"))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Iterator[Any]:
    report = yield
    if report.skipped and not hasattr(report, "wasxfail") and item.config.getoption("--no-skips"):
        report.outcome = "failed"
        report.longrepr = f"skipped: {report.longrepr}"
    return report
