"""Files that are written: nothing replaced that was not meant, nothing half-made left, whoever ends the work."""

import os
import socket
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from purgecalc.cli.output import Target
from purgecalc.errors import UsageError
from tests.command import command, environment, run
from tests.lines import BASE, SCENARIOS


def refused(name: Path | str, force: bool, *inputs: Path | str) -> str:
    with pytest.raises(UsageError) as fault:
        Target(str(name), force, [str(i) for i in inputs]).write("new")
    assert str(name) in str(fault.value)
    return str(fault.value)


def only(folder: Path, *names: str) -> bool:
    return sorted(p.name for p in folder.iterdir()) == sorted(names)


def test_a_new_file_has_all_of_it_and_the_usual_rights(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Target(str(tmp_path / "a.txt"), False).write("Blå\n")
    Target(str(tmp_path / "b.pdf"), False).write(b"\x00\r\n")
    assert (tmp_path / "a.txt").read_bytes() == "Blå\n".encode()
    assert (tmp_path / "b.pdf").read_bytes() == b"\x00\r\n"
    (tmp_path / "usual").touch()
    assert (tmp_path / "a.txt").stat().st_mode == (tmp_path / "usual").stat().st_mode
    assert only(tmp_path, "a.txt", "b.pdf", "usual")
    assert capsys.readouterr().err == f"wrote {tmp_path / 'a.txt'}\nwrote {tmp_path / 'b.pdf'}\n"


def test_a_file_that_exists_is_replaced_only_by_force_and_keeps_its_rights(tmp_path: Path) -> None:
    file = tmp_path / "a.txt"
    file.write_text("old")
    file.chmod(0o640)
    assert "exists; choose another name, or add --force" in refused(file, False)
    assert file.read_text() == "old"
    Target(str(file), True).write("new")
    assert file.read_text() == "new"
    assert stat.S_IMODE(file.stat().st_mode) == 0o640


@pytest.mark.parametrize("force", [False, True])
def test_what_is_no_regular_file_is_never_replaced(tmp_path: Path, force: bool) -> None:
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")
    with socket.socket(socket.AF_UNIX) as open_socket:
        open_socket.bind(str(tmp_path / "socket"))
    (tmp_path / "to-a-device").symlink_to(os.devnull)
    (tmp_path / "to-nothing").symlink_to(tmp_path / "gone")
    (tmp_path / "to-itself").symlink_to(tmp_path / "to-itself")
    before = {p.name: p.lstat().st_ino for p in tmp_path.iterdir()}
    assert "is a folder" in refused(tmp_path / "folder", force)
    for name in ("pipe", "socket", "to-a-device"):
        assert "is no file but a device or a pipe" in refused(tmp_path / name, force)
    assert "is no file but" in refused(os.devnull, force)
    assert "is a link to" in refused(tmp_path / "to-nothing", force)
    assert "is a link to" in refused(tmp_path / "to-itself", force)
    assert {p.name: p.lstat().st_ino for p in tmp_path.iterdir()} == before


def test_a_link_to_a_file_is_followed_and_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    file, link = tmp_path / "there" / "a.txt", tmp_path / "link.txt"
    file.write_text("old")
    link.symlink_to(file)
    assert "exists" in refused(link, False)
    Target(str(link), True).write("new")
    assert (file.read_text(), link.is_symlink()) == ("new", True)
    assert only(tmp_path / "there", "a.txt")


def test_no_output_replaces_an_input_whatever_it_is_called(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "site.toml"
    file.write_text("kept")
    (tmp_path / "link.toml").symlink_to(file)
    (tmp_path / "hard.toml").hardlink_to(file)
    monkeypatch.chdir(tmp_path)
    for name in ("site.toml", "./site.toml", "link.toml", "hard.toml", str(file)):
        assert "is read by this very call" in refused(name, True, "", tmp_path / "not-there", file)
    with file.open() as stream, monkeypatch.context() as patch:
        patch.setattr("purgecalc.cli.output.STANDARD_INPUT", stream.fileno())
        assert "is read by this very call" in refused(file, True, "-")
        Target(str(file), True, [])
    assert file.read_text() == "kept"


def test_what_forbids_it_is_said_before_the_work(tmp_path: Path) -> None:
    assert f"there is no folder {tmp_path / 'no'}" in refused(tmp_path / "no" / "a.txt", True)
    assert f"there is no folder {tmp_path / 'no'}" in refused(f"{tmp_path / 'no'}/", True)
    assert "cannot be written: File name too long" in refused(tmp_path / ("n" * 300), True)
    (tmp_path / "file").touch()
    assert "cannot be written" in refused(tmp_path / "file" / "a.txt", True)


def test_a_folder_nobody_may_write_in_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    assert "no file can be made or replaced in" in refused(tmp_path / "a.txt", False)


def test_what_came_into_being_meanwhile_is_kept(tmp_path: Path) -> None:
    file = tmp_path / "a.txt"
    target = Target(str(file), False)

    def write_slowly() -> None:
        with target.opened() as out:
            out.write("new")
            file.write_text("somebody else's")

    with pytest.raises(UsageError, match="exists"):
        write_slowly()
    assert file.read_text() == "somebody else's"
    assert only(tmp_path, "a.txt")


def test_nothing_is_left_of_what_was_broken_off(tmp_path: Path) -> None:
    def write_half() -> None:
        with Target(str(tmp_path / "a.txt"), False).opened() as out:
            out.write("half")
            raise KeyError

    with pytest.raises(KeyError):
        write_half()
    assert only(tmp_path)


def test_a_full_disk_is_an_error_and_leaves_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "a.txt"
    file.write_text("old")
    monkeypatch.setattr(Target, "_new", lambda self, path: open("/dev/full", "wb", buffering=0))  # noqa: SIM115
    assert "cannot be written: No space left on device" in refused(file, True)
    assert file.read_text() == "old"
    assert only(tmp_path, "a.txt")


INPUT = {
    "check": ("check", "site.toml", "-o", "site.txt"),
    "check as data": ("check", "site.toml", "-o", "site.json"),
    "size": ("size", "site.toml", "-o", "site.toml"),
    "size, by a link": ("size", "site.toml", "-o", "link.toml"),
    "trace": ("trace", "site.toml", "-o", "site.csv"),
    "sweep": ("sweep", "site.toml", "--vary", "line.hose.length=3,9[m]", "-o", "site.svg"),
    "note": ("note", "site.toml", "-o", "site.md"),
    "the form": ("note", "site.toml", "--readings", "site.toml"),
    "the filled form": ("note", "site.toml", "--with", "filled.toml", "--readings", "filled.toml"),
    "a table": ("batch", "table.csv", "-o", "table.csv"),
    "a base": ("batch", "table.csv", "--base", "site.toml", "-o", "site.toml"),
    "a table on standard input": ("batch", "-", "-o", "table.csv"),
    "answers": ("new", "--ask", "table.csv"),
}


@pytest.mark.parametrize("words", INPUT.values(), ids=INPUT)
def test_no_command_writes_over_what_it_reads_whatever_the_force(words: tuple[str, ...], tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(BASE)
    for name in ("link.toml", "site.txt", "site.json", "site.csv", "site.svg", "site.md"):
        (tmp_path / name).symlink_to("site.toml")
    (tmp_path / "filled.toml").write_text("")
    (tmp_path / "table.csv").write_text("line.hose.length [m]\n7.6\n")
    before = {p.name: p.read_text() for p in tmp_path.iterdir()}
    if "-" in words or "--ask" in words:
        with (tmp_path / "table.csv").open() as stdin:
            done = subprocess.run(
                command(*words, "--force"), stdin=stdin, capture_output=True, text=True, cwd=tmp_path, check=False
            )
    else:
        done = run(*words, "--force", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert f"{words[-1]} is read by this very call; name another file" in done.stderr
    assert {p.name: p.read_text() for p in tmp_path.iterdir()} == before


@pytest.mark.parametrize(
    "words",
    [
        ("check", "-", "-o", "x.json"),
        ("trace", "-", "-o", "x.csv"),
        ("size", "-", "-o", "x.toml"),
        ("note", "-", "-o", "x.pdf"),
        ("sweep", "-", "--vary", "line.hose.length=3,9[m]", "-o", "x.png"),
        ("batch", "-", "-o", "x.csv"),
        ("new", "x.toml"),
        ("note", "-", "--readings", "x.toml"),
        ("new", "--ask", "x.toml"),
    ],
    ids=" ".join,
)
def test_every_command_refuses_a_pipe_and_a_link_to_nothing_before_it_works(words: tuple[str, ...], tmp_path: Path) -> None:
    os.mkfifo(tmp_path / words[-1])
    done = run(*words, "--force", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == f"{words[-1]} is no file but a device or a pipe; name a file\n"
    (tmp_path / words[-1]).unlink()
    (tmp_path / words[-1]).symlink_to("nowhere")
    done = run(*words, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "is a link to" in done.stderr
    assert [p.name for p in tmp_path.iterdir()] == [words[-1]]


READ_ONLY = """
import os, sys

def refuse(event, args):
    writes = event in ("os.mkdir", "os.rename", "os.remove", "os.rmdir") or event == "open" and args[2] & (os.O_RDWR | os.O_WRONLY)
    if writes and isinstance(args[0], (str, bytes)):
        path = os.path.realpath(os.fsdecode(args[0]))
        if path != os.devnull and not path.startswith({folder!r}):
            raise OSError(30, "Read-only file system", path)

sys.addaudithook(refuse)
sys.dont_write_bytecode = True
sys.argv = ["purgecalc", *{words!r}]
from purgecalc.__main__ import main
main()
"""


def test_where_nothing_else_can_be_written_a_note_is_made_all_the_same_and_nobody_gives_advice(tmp_path: Path) -> None:
    (tmp_path / "home").mkdir()
    (tmp_path / "out").mkdir()
    words = ["note", str(SCENARIOS / "fernwhistle.toml"), "-o", "note.html"]
    script = READ_ONLY.format(folder=str(tmp_path / "out"), words=words)
    env = {k: v for k, v in environment().items() if not k.startswith(("MPL", "XDG"))} | {"HOME": str(tmp_path / "home")}
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, cwd=tmp_path / "out", env=env, check=False
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "wrote note.html\n")
    assert "<svg" in (tmp_path / "out" / "note.html").read_text(encoding="utf-8")
    assert only(tmp_path / "home")
    assert only(tmp_path / "out", "note.html")
