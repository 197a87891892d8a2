"""README tells the truth: its screen is what the command prints, its commands run, what it names exists."""

import re
import shlex
import shutil
from pathlib import Path

from tests.cli.test_commands import S1
from tests.command import run
from tests.lines import ROOT, SCENARIOS

README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def fence(mark: str) -> str:
    found = re.search(rf"<!-- {mark} -->\n```\w*\n(.*?)```", README, re.S)
    assert found, mark
    return found[1]


def test_the_screen_is_what_check_prints() -> None:
    assert fence("screen").rstrip() == run("check", S1).stdout.rstrip()


def test_the_strips_are_what_detail_prints() -> None:
    strips = fence("strips").rstrip()
    assert "One cycle" in strips
    assert strips in run("check", S1, "--detail").stdout


def test_the_map_is_what_sweep_prints() -> None:
    vary = ("--vary", "line.hose.length=3:60:40 m", "--vary", "line.hose.bore=4,6,8,10 mm")
    assert fence("map").rstrip() in run("sweep", S1, *vary).stdout


def test_every_command_of_the_readme_runs(tmp_path: Path) -> None:
    shutil.copytree(SCENARIOS, tmp_path / "scenarios")
    text = "\n".join(re.findall(r"```sh\n(.*?)```", README, re.S)) + "\n" + "\n".join(re.findall(r"`(purgecalc [^`]*)`", README))
    commands = [line.split("#")[0].strip() for line in text.splitlines() if line.startswith("purgecalc ")]
    assert len(commands) > 6
    for command in commands:
        words = shlex.split(command.split(">")[0])
        if any(w.isupper() and len(w) > 2 for w in words):
            continue
        done = run(*words[1:], cwd=tmp_path, stdin="\n" * 30)
        assert done.returncode in (0, 5), (command, done.stderr)


def test_links_and_files_named_exist() -> None:
    for text in (README, DEVELOPERS):
        for link in re.findall(r"\]\(([^)#:]+)\)", text):
            assert (ROOT / link).exists(), link
        for name in re.findall(r"`((?:purgecalc|tests|scenarios)/[\w/.-]+)`", text):
            assert (ROOT / name).exists(), name


def test_both_set_up_commands_are_one_line_each() -> None:
    for mark in ("run", "test"):
        assert len(fence(mark).strip().splitlines()) == 1
        assert "python3 -m venv .venv" in fence(mark)
