"""What the catalogue advises of a kind of probe reaches the reader, and what is not judged or not within a formula's range is said."""

import pytest

from purgecalc.catalogue.probes import probe_kind
from purgecalc.errors import ScenarioError
from purgecalc.reports.blocks import Table
from purgecalc.reports.note import commissioning_note
from purgecalc.reports.summary import summarise
from purgecalc.rules import rule_book
from tests.commissioned import note_of_line, of_line
from tests.lines import BARE, read
from tests.reports.test_note_procedure import section

MEMBRANE = "line.probe.kind=membrane-oxygen"


@pytest.mark.parametrize("settings", [(), (MEMBRANE,), (*BARE, "line.probe.kind=ammonium")])
def test_the_catalogues_advice_is_shown(settings: tuple[str, ...]) -> None:
    c = of_line(*settings)
    advice = probe_kind(c.designs[0].inputs.choice("probe.kind")).advice
    assert advice in section(note_of_line(*settings), "As designed")
    assert advice in summarise(c.checked).lines[0].advice


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ((), True),
        (("line.probe.face_limit=1 bar",), False),
        ((MEMBRANE,), True),
        ((MEMBRANE, "line.probe.face_limit=1 bar"), False),
        ((*BARE, "line.probe.kind=ammonium"), True),
    ],
)
def test_a_face_whose_limit_is_not_stated_is_said_not_to_be_judged(settings: tuple[str, ...], said: bool) -> None:
    tables = [b for b in commissioning_note(of_line(*settings)).blocks if isinstance(b, Table)]
    (silent,) = [t for t in tables if t.caption.startswith("Rules not judged")]
    assert (("STOP", "face-pressure", "probe.face_limit") in [row[:3] for row in silent.rows]) == said


def test_saturation_beyond_its_stated_pressures_is_a_limitation() -> None:
    def limits(*settings: str) -> str:
        return section(note_of_line(*settings), "Limitations, assumptions, defaults")

    assert "beyond the pressures its correction is stated for" in limits("line.head.depth=5 m")
    assert "beyond the pressures" not in limits("line.head.depth=0.5 m")


def test_a_share_for_a_tolerance_is_refused_with_what_to_do() -> None:
    with pytest.raises(ScenarioError, match=r'tolerance = "0\.2 mg/L"'):
        read("line.probe.tolerance=5 %")
    with pytest.raises(ScenarioError, match="leave it out"):
        read(*BARE, "line.probe.kind=turbidity", "line.probe.tolerance=5 %")


def test_the_hold_off_names_both_its_grounds() -> None:
    assert "to a tenth of it, our judgement" in str(rule_book()["hold-off"].cite)
