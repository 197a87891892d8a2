"""What every result of the door has in common: short in a list, whole on a screen, in a notebook and through rich."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import TYPE_CHECKING

from purgecalc.cli.console import Painted
from purgecalc.reports.explain import print_work
from purgecalc.reports.page import Page, as_markup

if TYPE_CHECKING:
    from purgecalc.design import Design

WIDTH = 80


class Shown(ABC):
    """Something with a page of its own: ``print`` gives it plain, a notebook and rich painted, ``repr`` one line."""

    @abstractmethod
    def page(self, width: int = WIDTH) -> Page:
        """The page, laid out for ``width`` columns."""

    def __str__(self) -> str:
        return self.page().plain().rstrip("\n")

    def __rich__(self) -> Painted:
        return Painted(self.page)

    def _repr_html_(self) -> str:
        return as_markup(self.page(100))


class Explanation(Shown):
    """One quantity worked by hand, as text.

    ``str`` gives equation, numbers put in, result, source and where the inputs came from; ``in`` looks into that text.

    >>> print(r.explain("hose.reynolds"))  # doctest: +ELLIPSIS
    hose.reynolds: Reynolds number in the hose
      Re = 4*m/(pi*D*mu)
    ...
    """

    def __init__(self, design: Design, id: str, *, everything: bool) -> None:
        self._design, self._everything = design, everything
        self.id = id

    def page(self, width: int = WIDTH) -> Page:
        """The text, laid out for ``width`` columns."""
        page = Page(width)
        print_work(page, self._design, self.id, everything=self._everything)
        return page

    def __contains__(self, text: str) -> bool:
        return text in str(self)

    def __repr__(self) -> str:
        return f"<Explanation of {self.id}, {len(self.page().lines)} lines; print() shows them>"
