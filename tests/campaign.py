"""How large a test is: a few random cases in every run, many in a campaign."""

import pytest


def few_or_many(few: int, many: int) -> pytest.MarkDecorator:
    """Run a test with ``count`` few, and once more, in campaigns only, with many."""
    return pytest.mark.parametrize("count", [few, pytest.param(many, marks=pytest.mark.campaign)])
