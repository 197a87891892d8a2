"""One exit code a class, as the error tree promises."""

from purgecalc import errors
from purgecalc.errors import Problem


def test_exit_codes_are_unique_and_documented() -> None:
    classes = [c for c in vars(errors).values() if isinstance(c, type) and issubclass(c, errors.PurgecalcError)]
    codes = [c.exit_code for c in classes]
    assert len(set(codes)) == len(codes)
    for c in classes:
        assert f"({c.exit_code})" in (errors.__doc__ or "")
        assert c.__name__ in (errors.__doc__ or "")


def test_a_problem_points_at_its_place_even_on_a_long_line() -> None:
    line = "x = 1, " * 40 + 'bore = "0 mm"'
    text = str(Problem("line.hose.bore", "too small", "a.toml", 3, line, line.index('"0 mm"'), 6))
    first, shown, caret = text.splitlines()
    assert first == "a.toml:3: line.hose.bore: too small"
    assert shown[caret.index("^") : caret.index("^") + 6] == '"0 mm"'
    assert len(shown) <= 80
