"""The one option of the tests: write kept texts anew."""

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--refresh-golden", action="store_true", help="write the kept notes anew instead of comparing with them")


@pytest.fixture
def refresh_golden(request: pytest.FixtureRequest) -> bool:
    """Whether kept texts are to be written anew."""
    return bool(request.config.getoption("--refresh-golden"))
