"""Scenario files: what may be written, and how it is read."""

from purgecalc.scenario.inputs import ScenarioInputs
from purgecalc.scenario.read import load, loads

__all__ = ["ScenarioInputs", "load", "loads"]
