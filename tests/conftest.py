"""The options of the tests: write kept texts anew, and count what is skipped as failed."""

import os
from collections.abc import Iterator
from typing import Any

import pytest

# as purgecalc itself has it: the tests run on all cores already, and threads that wait for each other burn them
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


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
