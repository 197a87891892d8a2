"""purgecalc: design calculator for compressed-air purge cleaning of submerged water-quality probes.

    from purgecalc import check

    r = check("site.toml", set={"line.hose.length": "18 m"})
    r.verdict, r["hose.pressure_drop"].to("mbar")

``help(purgecalc.check)`` tells what it takes; ``dir(r)`` what it gives. Nothing but the version is imported before it is used.
"""

TYPE_CHECKING = False
if TYPE_CHECKING:
    from purgecalc.design import Design
    from purgecalc.door import Check, Explanation, Grid, PurgeLine, Quantity, Sizing, check, load
    from purgecalc.errors import NoPhysicalAnswer, Problem, PurgecalcError, ScenarioError, UsageError
    from purgecalc.rules import Finding, Level
    from purgecalc.scenario import ScenarioInputs

__version__ = "0.2.0"

__all__ = [
    "Check",
    "Design",
    "Explanation",
    "Finding",
    "Grid",
    "Level",
    "NoPhysicalAnswer",
    "Problem",
    "PurgeLine",
    "PurgecalcError",
    "Quantity",
    "ScenarioError",
    "ScenarioInputs",
    "Sizing",
    "UsageError",
    "__version__",
    "check",
    "load",
]
_ELSEWHERE = {
    "Design": "design",
    "Finding": "rules",
    "Level": "rules",
    "ScenarioInputs": "scenario",
    **dict.fromkeys(("NoPhysicalAnswer", "Problem", "PurgecalcError", "ScenarioError", "UsageError"), "errors"),
}
"""Modules of the names that are not the door's own."""


def __getattr__(name: str) -> object:
    """A public name, imported when it is first asked for."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    value: object = getattr(import_module(f"{__name__}.{_ELSEWHERE.get(name, 'door')}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return __all__
