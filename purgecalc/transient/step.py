"""One extrapolated linearly implicit Euler step for all designs at once.

Branch flows are eliminated by hand, which leaves a tridiagonal system in the pressures from the reservoir to the head. One,
two (and three) Euler substeps over the same step share the slopes taken at its start; Richardson extrapolation of them gives
second (third) order for any choice of slopes (Deuflhard and Bornemann, Scientific Computing with Ordinary Differential
Equations, section 6.4), and the last difference is the error estimate. Each stage is a damped Euler step, hence tame at the
square-root laws of valve and head.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from purgecalc.formulas.air import GAMMA
from purgecalc.transient.balance import Drive, Rates, Slopes, Slug, rates
from purgecalc.transient.designs import Designs, Layout
from purgecalc.transient.laws import Array


@dataclass
class Eliminated:
    """The factored system of one substep size; ``g`` is 1/substep."""

    g: Array
    slopes: Slopes
    slug: Slug | None
    by_flow: Array
    al: Array
    ar: Array
    mass_gain: Array
    beta: Array | None
    multiplier: list[Any]
    pivot: list[Any]
    upper: list[Any]


def _rows(matrix: Array) -> list[Any]:
    """Rows of a matrix; plain numbers where there is one design, since arithmetic on them is ten times quicker."""
    return matrix[:, 0].tolist() if matrix.shape[1] == 1 else list(matrix)


def eliminate(design: Designs, layout: Layout, at: Rates, g: Array) -> Eliminated:
    """Set up and factor the tridiagonal system of [reservoir, nodes] for substeps of 1/g."""
    s = at.slopes
    by_flow = 1 / (g + s.drag)
    al, ar = s.left * by_flow, s.right * by_flow
    diagonal = np.empty((layout.branches + 2, g.size))
    np.multiply(design.cap, g, out=diagonal[1:])
    beta = None
    if at.slug is not None:
        w = at.slug
        beta = w.push / (g + w.damp + w.spring / g)
        diagonal[-1] *= w.stretch * (1 + w.spread * beta / g)
    diagonal[1:-1] += al
    diagonal[2:] += ar
    diagonal[1] -= s.valve_hose
    diagonal[-1] += s.head
    heat = design.rv * GAMMA.value
    mass_gain = s.wall * s.warmth / g
    diagonal[0] = g + s.wall - heat * (design.T_in * s.made - s.T_source * s.valve_source) - mass_gain * (s.made - s.valve_source)
    lower = [_rows(-s.valve_source[None])[0], *_rows(-al)]
    upper = [_rows(((heat * s.T_source + mass_gain) * s.valve_hose)[None])[0], *_rows(-ar)]
    pivot, multiplier = _rows(diagonal), [0.0]
    for i in range(1, len(pivot)):
        m = lower[i - 1] / pivot[i - 1]
        multiplier.append(m)
        pivot[i] = pivot[i] - m * upper[i - 1]
    return Eliminated(g, s, at.slug, by_flow, al, ar, mass_gain, beta, multiplier, pivot, upper)


def increment(design: Designs, layout: Layout, e: Eliminated, r: Array) -> Array:
    """What one substep adds to every row, from the rates ``r``."""
    s, g, k = e.slopes, e.g, layout.slug
    u = np.empty_like(r)
    rest = r[layout.flows] * e.by_flow
    rhs = r[1 : layout.end + 1].copy()
    rhs[0] += e.mass_gain * r[0]
    rhs[1:-1] -= rest
    rhs[2:] += rest
    alpha = 0.0
    if e.slug is not None and e.beta is not None:
        w = e.slug
        alpha = e.beta / np.maximum(w.push, 1e-300) * (r[k] + w.spring * r[k + 1] / g)
        rhs[-1] += design.cap[-1] * w.stretch * w.spread * (r[k + 1] - alpha)
    x = _rows(rhs)
    for i in range(1, len(x)):
        x[i] = x[i] - e.multiplier[i] * x[i - 1]
    x[-1] = x[-1] / e.pivot[-1]
    for i in range(len(x) - 2, -1, -1):
        x[i] = (x[i] - e.upper[i] * x[i + 1]) / e.pivot[i]
    for i, value in enumerate(x):
        u[i + 1] = value
    p = u[layout.nodes]
    np.multiply(e.al, p[:-1], out=u[layout.flows])
    u[layout.flows] -= e.ar * p[1:]
    u[layout.flows] += rest
    through, made, head = s.valve_source * u[1] + s.valve_hose * u[2], s.made * u[1], s.head * u[layout.end]
    u[0] = r[0] + made - through
    u[k + 2], u[k + 3], u[k + 4] = r[k + 2] + made, r[k + 3] + head, r[k + 4] + through
    u[0] /= g
    u[k + 2 :] /= g
    if e.slug is not None and e.beta is not None:
        u[k] = alpha + e.beta * u[layout.end]
        u[k + 1] = (r[k + 1] - u[k]) / g
        u[layout.end] = (r[layout.end] + u[layout.flows][-1] - head) / (g * design.cap[-1])
    else:
        u[k : k + 2] = 0.0
    return u


def _driven(layout: Layout, r: Array, ramp: Array, reach: Array) -> Array:
    """Rates with the ramps of valve and motor carried to the end of the substep."""
    out = r.copy()
    k = layout.slug
    out[:3] += ramp[:3] * reach
    out[k + 2] += ramp[3] * reach
    out[k + 4] += ramp[4] * reach
    return out


def _euler(
    y: Array, design: Designs, layout: Layout, start: Rates, drive: Drive, wet: Array | None, h: Array, parts: int
) -> Array:
    sub = h / parts
    e = eliminate(design, layout, start, 1 / sub)
    ramp = start.ramp
    assert ramp is not None
    now = y
    r = start.d
    for i in range(parts):
        if i:
            moved = Drive(drive.opening + drive.opening_rate * sub * i, drive.opening_rate,
                          drive.motor + drive.motor_rate * sub * i, drive.motor_rate)  # fmt: skip
            r = rates(now, design, layout, moved, wet, first=False).d
        now = now + increment(design, layout, e, _driven(layout, r, ramp, sub))
    return now


def extrapolated(
    y: Array, design: Designs, layout: Layout, start: Rates, drive: Drive, wet: Array | None, h: Array, order: int
) -> tuple[Array, Array]:
    """State after a step of ``h`` (one per design) and the difference that estimates its error. ``order`` 2 or 3."""
    one = _euler(y, design, layout, start, drive, wet, h, 1)
    two = _euler(y, design, layout, start, drive, wet, h, 2)
    second = 2 * two - one
    if order == 2:
        return second, two - one
    three = _euler(y, design, layout, start, drive, wet, h, 3)
    third = 4.5 * three - 4 * two + 0.5 * one
    return third, third - (3 * three - 2 * two)
