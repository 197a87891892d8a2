"""Standard output and standard error: every byte gets there or somebody is told, and nothing on them steers a terminal."""

from __future__ import annotations

import errno
import io
import os
import sys
import time

from purgecalc.visible import visible

TYPE_CHECKING = False
if TYPE_CHECKING:  # --version goes through here, and imports nothing heavy
    from collections.abc import Callable, Iterable
    from typing import Any


class Lost(Exception):
    """Something could not be written. No place for it on the stream it was lost on, even as data."""

    exit_code = 2


class Screen:
    """A stream of text for people. What goes to ``exact`` instead is not looked at: paint, and data for programs."""

    def __init__(self, exact: Any) -> None:
        self.exact = exact

    def write(self, text: str) -> int:
        """Write ``text`` made visible."""
        self.exact.write(visible(text))
        return len(text)

    def writelines(self, lines: Iterable[str]) -> None:
        """Write each of them."""
        for line in lines:
            self.write(line)

    def __getattr__(self, name: str) -> Any:
        if name == "buffer":  # libraries would go round the screen
            raise AttributeError(name)
        return getattr(self.exact, name)


class _Whole(io.RawIOBase):
    """Bytes onto a stream that may take only some of them at a time, or none for a while.

    One that failed once is written to no more. That ``what`` is lost is an error; lost messages, which have no name, are none.
    """

    def __init__(self, raw: Any, what: str) -> None:
        self._raw, self._what, self._failed = raw, what, False

    def writable(self) -> bool:
        return True

    def fileno(self) -> int:
        return int(self._raw.fileno())

    def isatty(self) -> bool:
        return bool(self._raw.isatty())

    def write(self, data: Any) -> int:
        left = memoryview(data).cast("B")
        size = len(left)
        while left and not self._failed:
            try:
                taken = self._raw.write(left)
                if taken is None:
                    _wait_for(self._raw)
            except OSError as error:
                self._failed = True
                if self._what:
                    raise _lost(error, self._what) from None
            else:
                left = left[taken or 0 :]
        return size


class _Closed(io.RawIOBase):
    """Stands in for a stream that was closed before the start."""

    def write(self, data: Any) -> int:
        raise OSError(errno.EBADF, "standard output is closed")

    def fileno(self) -> int:
        raise OSError(errno.EBADF, "closed")


def whole(raw: Any, what: str) -> io.BufferedWriter:
    """A writer of bytes that writes all of them onto ``raw``, or raises ``Lost``: ``what`` cannot be written."""
    return io.BufferedWriter(_Whole(raw, what))


def _lost(error: OSError, what: str) -> Exception:
    """What it means that something cannot be written. On Windows a pipe whose reader has gone is an invalid argument."""
    if isinstance(error, BrokenPipeError) or (os.name == "nt" and error.errno == errno.EINVAL):
        return BrokenPipeError()
    return Lost(f"{what} cannot be written: {error.strerror}")


def _wait_for(raw: Any) -> None:
    """Until a pipe that does not block has room again."""
    import select

    try:
        select.select([], [raw], [], 1.0)
    except (OSError, ValueError):  # no such thing for files on this system
        time.sleep(0.01)


def _opened(stream: Any, what: str) -> Screen:
    """``stream`` as a screen; one that has no bytes below it is written to as it is."""
    if isinstance(stream, Screen):
        return stream
    buffer = _Closed() if stream is None else getattr(stream, "buffer", None)
    if buffer is None:
        return Screen(stream)
    raw, encoding = getattr(buffer, "raw", buffer), getattr(stream, "encoding", None) or "utf-8"
    by_line = any(getattr(stream, how, False) for how in ("line_buffering", "write_through"))
    # messages are not held back: a signal may come in the midst of one and have to say something itself
    below: Any = whole(raw, what) if what else _Whole(raw, what)
    # characters the encoding does not have come out as codes, not as a crash
    return Screen(io.TextIOWrapper(below, encoding, "backslashreplace", line_buffering=by_line, write_through=not what))


def through_screens(work: Callable[[], int]) -> int:
    """Do ``work`` with its output and messages on screens; its exit code, or another where the output was lost."""
    before = sys.stdout, sys.stderr
    for stream in before:
        if stream is not None:
            stream.flush()
    out, messages = _opened(sys.stdout, "the output"), _opened(sys.stderr, "")
    sys.stdout, sys.stderr = out, messages
    code = 0
    try:
        code = work()
        out.flush()
    except BrokenPipeError:  # the reader has gone (head, less): that is its right
        pass
    except Lost as lost:
        code = lost.exit_code
        messages.write(f"{lost}\n")
    finally:
        messages.flush()
        sys.stdout, sys.stderr = before
    return code


def open_what_is_closed() -> None:
    """Give the standard streams a device where the caller closed them, lest a file that is opened take their number.

    That one is closed is an error as soon as somebody wants to read from it or to write output to it.
    """
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free
