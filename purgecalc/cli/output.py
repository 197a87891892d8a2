"""Files that are written: named before the work begins, never over what was not meant, and never half of one."""

from __future__ import annotations

import io
import os
import stat
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from purgecalc.cli.console import tell
from purgecalc.cli.leaving import undone
from purgecalc.cli.streams import Lost, whole
from purgecalc.errors import UsageError

STANDARD_INPUT = 0


class Target:
    """A file to be written once all is worked out. What forbids it is said at once, and asked again when it comes to writing.

    A link to a file is followed. ``inputs`` are the files of the same call, which no output may replace; ``-`` is standard input.
    ``by_hand`` is False where Python code calls, which is not told what it wrote.
    """

    def __init__(self, name: str, force: bool, inputs: Sequence[str] = (), *, by_hand: bool = True) -> None:
        self.name, self._force, self._inputs, self._by_hand = name, force, inputs, by_hand
        self._path()

    def write(self, data: str | bytes) -> None:
        """Write all of it."""
        with self.opened("w" if isinstance(data, str) else "wb") as out:
            out.write(data)

    @contextmanager
    def opened(self, mode: str = "w") -> Iterator[IO[Any]]:
        """A file to write into; it takes its name when all is written, and is gone if that fails."""
        path = self._path()
        temporary = path.with_name(f".purgecalc-{os.getpid()}-{os.urandom(4).hex()}")
        with undone(lambda: temporary.unlink(missing_ok=True)), self._new(temporary) as raw:
            data = whole(raw, self.name)
            out = data if "b" in mode else io.TextIOWrapper(data, "utf-8", newline="")
            try:
                yield out
                out.flush()
            except Lost as lost:
                raise UsageError(str(lost)) from None
            self._keep(raw, temporary, self._path())
        if self._by_hand:
            tell(f"wrote {self.name}")

    def _new(self, path: Path) -> IO[bytes]:
        try:
            return path.open("xb", buffering=0)
        except OSError as error:
            raise self._refused(error) from None

    def _keep(self, raw: IO[bytes], temporary: Path, path: Path) -> None:
        """Give what has been written its name; a file that is replaced leaves it its rights."""
        try:
            raw.close()
            if path.exists():
                temporary.chmod(stat.S_IMODE(path.stat().st_mode))
            temporary.replace(path)
        except OSError as error:
            raise self._refused(error) from None

    def _path(self) -> Path:
        """Where it goes, links followed. Raises ``UsageError`` where nothing may be written."""
        path = Path(os.path.realpath(self.name))
        try:
            is_link = stat.S_ISLNK(os.lstat(self.name).st_mode)
        except FileNotFoundError:
            return self._in_folder(path)
        except OSError as error:
            raise self._refused(error) from None
        try:
            state = os.stat(self.name)
        except OSError as error:
            if is_link:
                raise UsageError(f"{self.name} is a link to {path}, where there is no file; name a file") from None
            raise self._refused(error) from None
        if stat.S_ISDIR(state.st_mode):
            raise UsageError(f"{self.name} is a folder; name a file")
        if not stat.S_ISREG(state.st_mode):
            raise UsageError(f"{self.name} is no file but a device or a pipe; name a file")
        if any(_is_same(state, file) for file in self._inputs):
            raise UsageError(f"{self.name} is read by this very call; name another file")
        if not self._force:
            force = "add --force" if self._by_hand else "say force=True"
            raise UsageError(f"{self.name} exists; choose another name, or {force} to replace it")
        return self._in_folder(path)

    def _in_folder(self, path: Path) -> Path:
        folder = path if self.name.endswith(("/", os.sep)) else path.parent
        if not folder.is_dir():
            raise UsageError(f"{self.name} cannot be written: there is no folder {folder}")
        if not os.access(folder, os.W_OK):
            raise UsageError(f"{self.name} cannot be written: no file can be made or replaced in {folder}")
        return path

    def _refused(self, error: OSError) -> UsageError:
        return UsageError(f"{self.name} cannot be written: {error.strerror}")


def _is_same(state: os.stat_result, file: str) -> bool:
    """Whether a file that is read is the one of which ``state`` tells."""
    try:
        return os.path.samestat(state, os.fstat(STANDARD_INPUT) if file == "-" else os.stat(file))
    except OSError:
        return False  # what cannot be read is refused by whoever reads it
