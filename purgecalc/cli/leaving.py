"""Ending in the midst of work: no traceback and nothing half-made left behind, from the first moment to the last.

A signal ends the process at once, after what is registered here has been undone. Nothing is raised: an exception that comes
in the midst of an import is turned into another one by some libraries and swallowed by others.
"""

from __future__ import annotations

import os
import signal

TYPE_CHECKING = False
if TYPE_CHECKING:  # typing takes longer to import than what is needed here
    from collections.abc import Callable, Iterator
    from typing import Any

ENDING = ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")
"""What people, machines and closed windows send; not every system has all of them."""
_open: list[Callable[[], Any]] = []


def end_at_signals() -> None:
    """From now on a signal ends the process, with 128 and its number as the exit code; one that is ignored stays so."""
    for number in _known():
        if signal.getsignal(number) != signal.SIG_IGN:  # under nohup, or in the background of a script
            signal.signal(number, _end)


class undone:  # noqa: N801 - reads as what it does: with undone(...)
    """Calls ``undo`` if a signal ends what is done inside, or an exception of the kind named."""

    def __init__(self, undo: Callable[[], Any], by: type[BaseException] = BaseException) -> None:
        self._undo, self._by = undo, by

    def __enter__(self) -> None:
        _open.append(self._undo)

    def __exit__(self, kind: type[BaseException] | None, *fault: object) -> None:
        if kind is not None and issubclass(kind, self._by):
            self._undo()
        _open.remove(self._undo)


def _known() -> Iterator[int]:
    return (getattr(signal, name) for name in ENDING if hasattr(signal, name))


def _end(number: int, frame: Any) -> None:
    for each in _known():
        signal.signal(each, signal.SIG_IGN)
    for undo in reversed(_open):
        try:
            undo()
        except Exception:  # the others are to be undone all the same
            continue
    os._exit(128 + number)
