"""Walks the published cases: every figure a source prints is met within half its last digit, or the case says why not."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from purgecalc.published import reader
from purgecalc.published.agreement import PROCEDURES, Compared, work
from purgecalc.published.manifest import MANIFEST, manifest_text
from purgecalc.working import FORMULAS, Formula

CASES = reader.cases()
WITH_CASE = {covered for case in CASES for covered in case.covers}


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.id)
def test_source_is_met(case: reader.Case, record_property: Callable[[str, object], None]) -> None:
    figures, unused = work(case)
    lines = [str(figure) for figure in figures]
    record_property("agreement", "; ".join(lines))
    reason = [f"allowed because {case.why}"] if case.why else []
    assert all(f.met for f in figures), "\n".join([f"{case.id} {case.title} ({case.source})", *lines, *reason])
    assert not unused, f"{case.id} says it covers {unused} but does not call them"


def test_every_case_is_well_formed() -> None:
    ids = [case.id for case in CASES]
    assert sorted(ids) == sorted(set(ids)), [i for i in ids if ids.count(i) > 1]
    for case in CASES:
        assert case.seen in reader.SEEN, case.id
        assert bool(case.formula) != bool(case.procedure), f"{case.id}: a formula or a procedure"
        wider = [n for n, p in case.expected.items() if case.allowed[n] > p.half_digit * (1 + 1e-9)]
        assert bool(wider) == bool(case.why), f"{case.id}: a reason where and only where half a digit is not enough: {wider}"


def test_every_procedure_is_used() -> None:
    assert set(PROCEDURES) <= {case.procedure for case in CASES}


@pytest.mark.parametrize("record", FORMULAS.values(), ids=lambda f: f.id)
def test_formula_has_a_case_or_says_why_not(record: Formula) -> None:
    has_case = record.id in WITH_CASE
    assert has_case or record.unpublished, f"{record.id}: neither a published case nor a reason for having none"
    assert not (has_case and record.unpublished), f"{record.id} has a case, so unpublished={record.unpublished!r} is wrong"


def test_half_of_the_last_digit_is_the_tolerance() -> None:
    assert reader.read("14.53").half_digit == pytest.approx(0.005)
    assert reader.read("1.7894e-5 Pa s").half_digit == pytest.approx(0.5e-9)
    assert reader.read("258 K").half_digit == pytest.approx(0.5)
    assert reader.read("24.1 degC").half_digit == pytest.approx(0.05)
    assert reader.read("70 degF").value == pytest.approx(294.2611, abs=1e-4)
    assert reader.read("530 degR").value == pytest.approx(294.4444, abs=1e-4)
    assert reader.read("100 psi(g)", "14.7 psi").value == pytest.approx(114.7 * 6894.757, rel=1e-6)
    with pytest.raises(ValueError, match="atmosphere"):
        reader.read("100 psi(g)")
    with pytest.raises(ValueError, match="not a number"):
        reader.read("6,5 bar")


def test_a_figure_out_of_tolerance_is_not_met() -> None:
    printed = reader.read("1.00")
    assert Compared("result", printed, 1.0049, 0.005).met
    assert not Compared("result", printed, 1.0051, 0.005).met
    assert not Compared("result", printed, float("nan"), 0.005).met


def test_a_value_is_told_in_the_unit_of_the_source() -> None:
    assert reader.read("24.1 degC").in_unit(298.15) == pytest.approx(25.0)
    gauge = reader.read("100 psi(g)", "14.7 psi")
    assert (gauge.in_unit(gauge.value), gauge.unit) == (pytest.approx(100.0), "psi(g)")


def test_what_was_measured_stands_in_a_file_of_its_own() -> None:
    assert {case.id for case in CASES if case.seen == "measured"} == {case.id for case in CASES if case.file == "measured.toml"}


def test_the_list_of_files_is_fresh() -> None:
    assert MANIFEST.read_text(encoding="utf-8") == manifest_text(), "a file changed; run: python -m tests.manifest"
