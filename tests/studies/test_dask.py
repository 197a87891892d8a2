"""README's example of many machines' worth, run as it stands: parts worked out apart are the table worked out whole."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from purgecalc.scenario import load
from purgecalc.studies.batch import run
from tests.lines import SCENARIOS
from tests.test_readme import fence


def test_the_example_gives_what_one_call_gives(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "scenarios").symlink_to(SCENARIOS)
    (tmp_path / "designs").mkdir()
    length, bore = np.linspace(3, 60, 90), np.resize([4.0, 6.0, 8.0], 90)
    length[7] = -1  # a bad row spoils no other
    whole = pd.DataFrame({"name": [f"d{i}" for i in range(90)], "line.hose.length [m]": length, "line.hose.bore [mm]": bore})
    for i in range(3):
        whole[30 * i : 30 * i + 30].to_csv(tmp_path / "designs" / f"{i}.csv", index=False)
    monkeypatch.chdir(tmp_path)
    exec(compile(fence("dask"), "README.md", "exec"), {})
    parts = pd.concat([pd.read_csv(p, keep_default_na=False) for p in sorted((tmp_path / "answers").glob("*"))])
    columns = {head: whole[head].to_numpy() for head in whole if "." in head}
    at_once = run(columns, load(str(SCENARIOS / "fernwhistle.toml")), ["head.jet_thrust_ratio"])
    assert parts["name"].tolist() == whole["name"].tolist()
    for head in ("verdict", "worst_rule", "problem"):
        assert parts[head].tolist() == at_once[head].tolist()
    ratio = pd.to_numeric(parts["head.jet_thrust_ratio"]).to_numpy(float)
    assert np.allclose(ratio, at_once["head.jet_thrust_ratio"], rtol=1e-12, equal_nan=True)
    assert "out of range" in parts["problem"].iloc[7]
