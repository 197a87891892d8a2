"""The unit of an argument is a type: SI numbers inside, floats or arrays, named by what they are counted in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, TypeAlias, get_args

import numpy as np
from numpy.typing import NDArray

Num: TypeAlias = float | NDArray[np.float64]


@dataclass(frozen=True)
class Unit:
    """The SI unit an annotated argument or result is in, as pint spells it."""

    name: str


Metre: TypeAlias = Annotated[Num, Unit("m")]
SquareMetre: TypeAlias = Annotated[Num, Unit("m**2")]
CubicMetre: TypeAlias = Annotated[Num, Unit("m**3")]
Second: TypeAlias = Annotated[Num, Unit("s")]
PerSecond: TypeAlias = Annotated[Num, Unit("1/s")]
Kelvin: TypeAlias = Annotated[Num, Unit("K")]
Pascal: TypeAlias = Annotated[Num, Unit("Pa")]
PascalSecond: TypeAlias = Annotated[Num, Unit("Pa*s")]
Kilogram: TypeAlias = Annotated[Num, Unit("kg")]
KgPerSecond: TypeAlias = Annotated[Num, Unit("kg/s")]
KgPerCubicMetre: TypeAlias = Annotated[Num, Unit("kg/m**3")]
CubicMetrePerSecond: TypeAlias = Annotated[Num, Unit("m**3/s")]
SonicConductance: TypeAlias = Annotated[Num, Unit("m**3/s/Pa")]
MetrePerSecond: TypeAlias = Annotated[Num, Unit("m/s")]
Newton: TypeAlias = Annotated[Num, Unit("N")]
Watt: TypeAlias = Annotated[Num, Unit("W")]
WattPerKelvin: TypeAlias = Annotated[Num, Unit("W/K")]
Joule: TypeAlias = Annotated[Num, Unit("J")]
JoulePerKgKelvin: TypeAlias = Annotated[Num, Unit("J/(kg*K)")]
ConcentrationRate: TypeAlias = Annotated[Num, Unit("kg/m**3/s")]
Ratio: TypeAlias = Annotated[Num, Unit("")]


def units_of(function: Callable[..., Any]) -> dict[str, str]:
    """SI unit of each argument and of the result ("return"): the aliases in the signature, found where the function is."""
    return {name: _unit_of(function.__globals__[alias]) for name, alias in function.__annotations__.items()}


def _unit_of(annotation: Any) -> str:
    for extra in get_args(annotation)[1:]:
        if isinstance(extra, Unit):
            return extra.name
    raise TypeError(f"no unit in annotation {annotation!r}")
