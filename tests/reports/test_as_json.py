"""The result as data holds whatever a finding, a report or a drawing of the line needs."""

import pytest

from purgecalc.reports.as_json import result
from purgecalc.scenario import load
from purgecalc.studies.checked import Checked
from tests.random_sites import SITES


@pytest.mark.parametrize("site", SITES, ids=lambda p: p.stem)
def test_every_input_and_word_of_a_line_is_in_the_result(site) -> None:
    checked = Checked.of(load(str(site)))
    data = result(checked)
    for d, line in zip(checked.designs, data["lines"], strict=True):
        assert set(d.inputs.values) <= set(line["quantities"])
        assert line["words"] == d.inputs.choices
        assert {"source.kind", "probe.kind", "head.check_valve_at"} <= set(line["words"])
        assert {"head.stand_off", "head.depth"} <= set(line["quantities"])
        assert line["fittings"] == d.inputs.fittings
    ids = {f["quantity"] for f in data["findings"] if f["quantity"]}
    assert ids <= {id for line in data["lines"] for id in line["quantities"]}
