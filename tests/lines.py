"""Short ways for tests to read, work out and judge the reference line with some settings changed."""

from functools import lru_cache
from pathlib import Path

from purgecalc.design import Design
from purgecalc.rules import Finding
from purgecalc.scenario import ScenarioInputs, loads
from purgecalc.studies.checked import Checked

ROOT = Path(__file__).parent.parent
SCENARIOS = ROOT / "scenarios"
BASE = (SCENARIOS / "fernwhistle.toml").read_text(encoding="utf-8").replace('length = "6 m"', 'length = "7.6 m"')
"""The reference line of the tests: Fernwhistle's, with a hose as long as common practice has it."""

RECEIVER = (
    "source.kind=receiver",
    "source.dead_head=8 bar(g)",
    "source.flow=35 L/min",
    "source.volume=24 L",
    "source.cut_in=4.5 bar(g)",
    "source.cut_out=6 bar(g)",
    "line.valve.conductance=1.0 dm3/(s bar)",
    "line.hose.bore=6 mm",
    "line.schedule.blast=10 s",
)


DROPS = {
    "drop:rated": ', rated_pressure = "10 bar(g)"',
    "drop:flow": 'flow = "60 L/min"',
    "drop:max": 'dead_head = "3.0 bar(g)"',
    "drop:duty": 'duty = "S3 50 %"',
    "drop:t90": 't90 = "30 s", ',
    "drop:scan": ', scan = "1 s", filter = "1 s"',
    "drop:held_value": ', held_value = "median"',
    "drop:longest": ', longest_hold = "4 min"',
    # a table ends at the blank line after it
    **{
        f"drop:{t}": next(part for part in BASE.split("\n\n") if part.startswith(f"[line.{t}]"))
        for t in ("outputs", "loop", "fouling", "worth")
    },
}
MONITOR = ("drop:loop", "drop:worth")
UNFOULED = ("drop:fouling", "drop:worth")
BARE = ("drop:outputs", "drop:loop", "drop:fouling", "drop:worth")


def read(*settings: str) -> ScenarioInputs:
    """The reference scenario with settings over it; ``drop:...`` takes a line out of the file first, ``add:line`` adds a twin."""
    text = BASE
    if "add:line" in settings:
        line = BASE[BASE.index("[line]") :].replace("[line]", "[[line]]", 1)
        text = f"{BASE[: BASE.index('[line]')]}{line}\n{line.replace('lane 2', 'lane 3')}"
    for setting in settings:
        if setting.startswith("drop:"):
            assert DROPS[setting] in text
            text = text.replace(DROPS[setting], "")
    return loads(text, "site.toml", [s for s in settings if not s.startswith(("drop:", "add:"))])


@lru_cache(maxsize=1024)
def checked(*settings: str) -> Checked:
    """The reference scenario with settings over it, worked out and judged."""
    return Checked.of(read(*settings))


def designs(*settings: str) -> tuple[Design, ...]:
    """The lines of it."""
    return checked(*settings).designs


def designed(*settings: str) -> Design:
    """The first line of it."""
    return designs(*settings)[0]


def findings(*settings: str) -> tuple[Finding, ...]:
    """What the rules say of it."""
    return checked(*settings).findings


def finding(rule: str, *settings: str) -> Finding:
    """What one rule says of it."""
    return next(f for f in findings(*settings) if f.rule.id == rule)
