"""Reference cases and seeded random designs the transient tests share."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from purgecalc.transient import Blast, Control, Head, Hose, Source, Valve, churchill

R, ATM, T = 287.05, 101325.0, 293.15
RHO_ATM = ATM / (R * T)


@dataclass(frozen=True)
class Expected:
    """Converged values of an explicit second-order Riemann scheme on 400 cells, confirmed to 6e-5 by a second scheme."""

    delivery_time: float
    max_flow: float
    air: float
    source_end: float


def flow(litres_per_minute: float) -> float:
    return RHO_ATM * litres_per_minute / 6e4


# 45 L/min at no pressure, 20 L/min at 2.5 bar, the same line on to zero
CURVE: dict[str, Any] = {"curve_pressure": (ATM, ATM + 2.5e5, ATM + 4.5e5), "curve_flow": (flow(45), flow(20), 0.0)}


def line(
    volume: Any,
    pressure: Any,
    conductance: Any,
    length: Any,
    bore: Any,
    fittings: Any,
    holes: int,
    hole: float,
    crack: float = 5e3,
    depth: float = 1.0,
    wet: float = 0.0,
    source: dict[str, Any] | None = None,
) -> Blast:
    return Blast(
        source=Source(volume=volume, pressure=pressure, **(source or {})),
        valve=Valve(conductance=conductance),
        hose=Hose(bore=bore, length=length, fittings=fittings),
        head=Head(hole_area=0.65 * holes * np.pi * hole**2 / 4, crack=crack, wetted_length=wet),
        back_pressure=ATM + 998.2 * 9.80665 * depth,
        duration=30.0,
        gas_constant=R,
        viscosity=1.813e-5,
        friction=churchill,
    )


CASES: dict[str, tuple[Blast, Expected]] = {
    "receiver, short hose": (
        line(5e-3, ATM + 6e5, 2e-8, 7.6, 0.006, 2, 8, 1e-3),
        Expected(0.137177, 5.384973e-3, 0.03477243, 116114.0),
    ),
    "compressor alone": (
        line(1e-4, ATM, 2e-8, 7.6, 0.006, 2, 3, 0.8e-3, source={"control": Control.BLAST, **CURVE}),
        Expected(1.511581, 5.828174e-4, 0.01755282, 260913.0),
    ),
    "thin hose": (line(1e-2, ATM + 7e5, 1e-8, 30.0, 0.004, 3, 4, 0.8e-3), Expected(0.918714, 1.655574e-3, 0.0400057, 464789.5)),
    "long hose": (line(2e-2, ATM + 7e5, 3e-8, 100.0, 0.008, 4, 8, 1e-3), Expected(3.061576, 4.361472e-3, 0.1090171, 342747.9)),
    "slug": (
        line(5e-3, ATM + 6e5, 2e-8, 7.6, 0.006, 2, 8, 1e-3, crack=0.0, depth=3.0, wet=3.5),
        Expected(0.832202, 5.950517e-3, 0.03390623, 130692.0),
    ),
    "refill": (
        line(
            5e-3,
            ATM + 6e5,
            2e-8,
            7.6,
            0.006,
            2,
            8,
            1e-3,
            source={"control": Control.SWITCH, "cut_in": ATM + 4e5, "cut_out": ATM + 6e5, **CURVE},
        ),
        Expected(0.137177, 5.384973e-3, 0.05201285, 145442.5),
    ),
}


def random_blast(n: int, seed: int) -> Blast:
    """Dry designs over the range met on sites: 3 to 100 m of 4 to 12 mm hose, receivers and compressors."""
    g = np.random.default_rng(seed)
    bore = g.uniform(4e-3, 12e-3, n)
    area = np.pi * bore**2 / 4
    length = np.exp(g.uniform(np.log(3), np.log(100), n))
    conductance = np.minimum(g.uniform(0.5e-8, 5e-8, n), 0.17e-8 * area * 1e6)
    receiver = g.random(n) < 0.6
    refill = receiver & (g.random(n) < 0.5)
    free = g.uniform(20, 200, n) * RHO_ATM / 6e4
    top = ATM + g.uniform(4e5, 10e5, n)
    control = np.where(receiver, np.where(refill, Control.SWITCH, Control.NONE), Control.BLAST)
    ramp = g.uniform(0.01, 0.05, n)
    return Blast(
        source=Source(
            volume=np.where(receiver, g.uniform(1e-3, 50e-3, n), g.uniform(5e-5, 3e-4, n)),
            pressure=np.where(receiver, top, ATM),
            control=control,
            curve_pressure=np.array([np.full(n, ATM), top + 2e5]),
            curve_flow=np.array([free, 0.3 * free]),
            cut_in=top - 2e5,
            cut_out=top,
        ),
        valve=Valve(conductance=conductance, critical_ratio=g.uniform(0.2, 0.5, n), opening=ramp, closing=ramp),
        hose=Hose(bore=bore, length=length, fittings=g.uniform(0, 5, n)),
        head=Head(hole_area=g.uniform(0.03, 0.35, n) * area, crack=5e3),
        back_pressure=ATM + 9789.0 * g.uniform(0.3, 5, n),
        duration=g.uniform(10, 60, n),
    )


WAVES = Blast(
    source=Source(volume=5e-3, pressure=ATM + 9e5),
    valve=Valve(conductance=8e-8, opening=0.01, closing=0.01),
    hose=Hose(bore=0.012, length=3.0),
    head=Head(hole_area=0.65 * 10 * np.pi * 1.5e-3**2 / 4, crack=5e3),
    back_pressure=ATM + 9789.0,
    duration=2.0,
    gas_constant=R,
    viscosity=1.813e-5,
)
"""A short wide line behind a large quick valve."""


def receivers(n: int, seed: int) -> Blast:
    """Vessels alone on 2 to 30 m of 4 to 12 mm hose, with valves from small to far too large."""
    g = np.random.default_rng(seed)
    bore = g.uniform(4e-3, 12e-3, n)
    return Blast(
        source=Source(volume=np.exp(g.uniform(np.log(2e-3), np.log(5e-2), n)), pressure=ATM + g.uniform(2e5, 9e5, n)),
        valve=Valve(conductance=g.uniform(0.5e-8, 8e-8, n), opening=g.uniform(0.01, 0.05, n)),
        hose=Hose(bore=bore, length=np.exp(g.uniform(np.log(2), np.log(30), n)), fittings=g.uniform(0, 5, n)),
        head=Head(hole_area=g.uniform(0.03, 0.35, n) * np.pi * bore**2 / 4, crack=5e3),
        back_pressure=ATM + 9789 * g.uniform(0.3, 5, n),
        duration=20.0,
    )


def mixed_blast(n: int, seed: int) -> Blast:
    """Designs of every kind in one call: each control, motors that run up, warm and cold walls, flooded hoses."""
    dry, g = random_blast(n, seed), np.random.default_rng(seed + 1)
    vessel = dry.source.control != Control.BLAST
    source = replace(
        dry.source,
        control=np.where(vessel, g.choice([Control.NONE, Control.SWITCH, Control.COMMANDED], n), Control.BLAST),
        pressure=np.where(vessel, dry.source.cut_in + g.random(n) * (dry.source.cut_out - dry.source.cut_in), ATM),
        run_up=g.choice([0.0, 0.3, 1.0], n),
        wall_conductance=g.choice([0.0, 3.0, 20.0, np.inf], n),
    )
    wet = np.where(g.random(n) < 0.3, np.minimum(g.uniform(0.2, 5, n), 0.9 * dry.elements[0].length), 0.0)
    head = replace(dry.head, wetted_length=wet, crack=np.where(wet > 0, 0.0, 5e3))
    return replace(dry, source=source, head=head, useful_head=dry.back_pressure + 2e4)


def waiting_vessels(n: int, lengths: Any, seed: int) -> Blast:
    """Vessels a little above cut-in, whose switch starts the compressor in the blast; a row each, along it ``lengths`` (factors)."""
    g = np.random.default_rng(seed)

    def between(low: float, high: float) -> Any:
        return g.uniform(low, high, (n, 1))

    cut_in, made, bore = ATM + between(3e5, 6e5), flow(1) * between(30, 120), between(4e-3, 8e-3)
    cut_out = cut_in + between(0.5e5, 2e5)
    return Blast(
        source=Source(
            volume=between(2e-3, 2e-2),
            pressure=cut_in + between(0.05, 0.5) * (cut_out - cut_in),
            control=Control.SWITCH,
            curve_pressure=(ATM, ATM + 9e5),
            curve_flow=np.array([made, 0.6 * made]),
            run_up=between(0.2, 1.5),
            cut_in=cut_in,
            cut_out=cut_out,
            wall_conductance=5.0,
        ),
        valve=Valve(conductance=between(0.5e-8, 3e-8)),
        hose=Hose(bore=bore, length=between(5, 40) * lengths, fittings=2.0),
        head=Head(hole_area=between(0.05, 0.3) * np.pi * bore**2 / 4, crack=5e3),
        back_pressure=ATM + 9789.0,
        duration=30.0,
    )
