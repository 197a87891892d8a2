"""One extrapolated linearly implicit Euler step for all designs at once.

Branch flows are eliminated by hand, which leaves a tridiagonal system in the pressures from the receiver to the head. One,
two and three Euler substeps over the same step share the slopes taken at its start; Richardson extrapolation of them gives
third order for any choice of slopes (Deuflhard and Bornemann, Scientific Computing with Ordinary Differential
Equations, section 6.4), and the last difference is the error estimate. Each stage is a damped Euler step, hence tame at the
square-root laws of valve and head. The three series of substeps run side by side, along an axis before the designs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from purgecalc.formulas.air import GAMMA
from purgecalc.transient.balance import Drive, Rates, Slopes, Slug, later_rates
from purgecalc.transient.designs import Designs, Layout
from purgecalc.transient.laws import Array

FEW = 32
"""Systems up to which one call for all their inverses costs less than elimination row by row."""
ORDER = 3
_PARTS = np.arange(1.0, ORDER + 1)[:, None]


@dataclass(eq=False)
class Eliminated:
    """The factored systems of the series of substeps; ``g`` is 1/substep (series, designs)."""

    g: Array
    slopes: Slopes
    slug: Slug | None
    by_flow: Array
    al: Array
    ar: Array
    mass_gain: Array
    beta: Array | None
    inverse: Array | None  # (series, designs, unknowns, unknowns), or row by row:
    lower: list[Array]
    pivot: Array  # reciprocal
    upper: Array

    def from_series(self, i: int) -> Eliminated:
        """Without the first ``i`` series, which have ended."""
        beta = None if self.beta is None else self.beta[i:]
        inverse = None if self.inverse is None else self.inverse[i:]
        return Eliminated(
            self.g[i:],
            self.slopes,
            self.slug,
            self.by_flow[:, i:],
            self.al[:, i:],
            self.ar[:, i:],
            self.mass_gain[i:],
            beta,
            inverse,
            [v[i:] if v.ndim > 1 else v for v in self.lower],
            self.pivot[:, i:],
            self.upper[:, i:],
        )


def eliminate(design: Designs, layout: Layout, at: Rates, g: Array) -> Eliminated:
    """Set up and factor the tridiagonal systems of [receiver, nodes] for substeps of 1/g."""
    s = at.slopes
    by_flow = 1 / (g + s.drag[:, None])
    al, ar = s.left[:, None] * by_flow, s.right[:, None] * by_flow
    diagonal = np.empty((layout.branches + 2, *g.shape))
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
    diagonal[0] = g + (s.wall - heat * (design.T_in * s.made - s.T_source * s.valve_source))
    diagonal[0] -= mass_gain * (s.made - s.valve_source)
    first = (heat * s.T_source + mass_gain) * s.valve_hose
    e = Eliminated(g, s, at.slug, by_flow, al, ar, mass_gain, beta, None, [], diagonal, ar)
    if g.size <= FEW:
        e.inverse = _invert(diagonal, s.valve_source, first, al, ar)
    else:
        e.lower, e.pivot, e.upper = _factor(diagonal, s.valve_source, first, al, ar)
    return e


def _invert(diagonal: Array, source: Array, first: Array, al: Array, ar: Array) -> Array:
    n = diagonal.shape[0]
    full = np.zeros((*diagonal.shape[1:], n * n))
    full[..., :: n + 1] = diagonal.transpose(1, 2, 0)
    full[..., n] = -source
    full[..., 1] = first
    full[..., 2 * n + 1 :: n + 1] = -al.transpose(1, 2, 0)
    full[..., n + 2 :: n + 1] = -ar.transpose(1, 2, 0)
    full = full.reshape(*diagonal.shape[1:], n, n)
    try:
        return np.linalg.inv(full)
    except np.linalg.LinAlgError:  # not a number somewhere: the step is rejected
        return np.full_like(full, np.nan)


def _factor(diagonal: Array, source: Array, first: Array, al: Array, ar: Array) -> tuple[list[Array], Array, Array]:
    """Thomas elimination in place; off-diagonals are -source, -al below and first, -ar above."""
    n = diagonal.shape[0]
    lower, upper = [source, *al], np.empty((n - 1, *diagonal.shape[1:]))
    spare = np.empty_like(first)
    np.reciprocal(diagonal[0], out=diagonal[0])
    np.multiply(first, diagonal[0], out=upper[0])
    np.negative(upper[0], out=upper[0])
    for i in range(1, n):
        np.multiply(lower[i - 1], upper[i - 1], out=spare)
        diagonal[i] -= spare
        np.reciprocal(diagonal[i], out=diagonal[i])
        if i < n - 1:
            np.multiply(ar[i - 1], diagonal[i], out=upper[i])
    return lower, diagonal, upper


def _solve(e: Eliminated, x: Array) -> Array:
    """The unknowns, in place of the right-hand side."""
    if e.inverse is not None:
        x[:] = np.matmul(e.inverse, x.transpose(1, 2, 0)[..., None])[..., 0].transpose(2, 0, 1)
        return x
    n, spare = x.shape[0], np.empty_like(x[0])
    x[0] *= e.pivot[0]
    for i in range(1, n):
        np.multiply(e.lower[i - 1], x[i - 1], out=spare)
        x[i] += spare
        x[i] *= e.pivot[i]
    for i in range(n - 2, -1, -1):
        np.multiply(e.upper[i], x[i + 1], out=spare)
        x[i] += spare
    return x


def increment(design: Designs, layout: Layout, e: Eliminated, r: Array, ramp: Array | None, sub: Array) -> Array:
    """What one substep of ``sub`` = 1/g adds to every row.

    From the rates ``r`` (rows, series, designs); the ramps of valve and motor count as at the end of the substep.
    """
    s, k, end = e.slopes, layout.slug, layout.end
    u = np.empty((layout.rows, *sub.shape))
    rest = r[layout.flows] * e.by_flow
    x = u[1 : end + 1]
    mass, air = r[0], r[k + 2]
    if ramp is not None:
        mass, air = mass + ramp[0] * sub, air + ramp[3] * sub
    np.multiply(e.mass_gain, mass, out=x[0])
    x[0] += r[1]
    np.subtract(r[2:end], rest, out=x[1:-1])
    x[-1] = r[end]
    x[2:] += rest
    if ramp is not None:
        x[0] += ramp[1] * sub
        x[1] += ramp[2] * sub
    alpha = 0.0
    if e.slug is not None and e.beta is not None:
        w = e.slug
        alpha = e.beta / np.maximum(w.push, 1e-300) * (r[k] + w.spring * r[k + 1] * sub)
        x[-1] += design.cap[-1] * w.stretch * w.spread * (r[k + 1] - alpha)
    _solve(e, x)
    p, q = u[layout.nodes], u[layout.flows]
    np.multiply(e.al, p[:-1], out=q)
    q += rest
    np.multiply(e.ar, p[1:], out=rest)
    q -= rest
    through, made, head = s.valve_source * x[0] + s.valve_hose * x[1], s.made * x[0], s.head * x[-1]
    np.multiply(mass + made - through, sub, out=u[0])
    np.multiply(air + made, sub, out=u[k + 2])
    np.multiply(r[k + 3] + head, sub, out=u[k + 3])
    if e.slug is not None and e.beta is not None:
        u[k] = alpha + e.beta * u[end]
        u[k + 1] = (r[k + 1] - u[k]) * sub
        u[end] = (r[end] + q[-1] - head) * sub / design.cap[-1]
    else:
        u[k : k + 2] = 0.0
    return u


def extrapolated(
    y: Array, design: Designs, layout: Layout, start: Rates, drive: Drive, wet: Array | None, h: Array
) -> tuple[Array, Array]:
    """State after a step of ``h`` (one per design) and the difference that estimates its error."""
    now = _all_series(y, design.spread, layout, start, drive, wet, h / _PARTS)
    two = now[:, 1]
    miss = two - now[:, 0]
    last = now[:, 2] - two
    miss *= -0.5
    miss += 1.5 * last
    last *= 2
    last += now[:, 2]
    last += miss
    return last, miss


def _all_series(y: Array, design: Designs, layout: Layout, start: Rates, drive: Drive, wet: Array | None, sub: Array) -> Array:
    """States after one, two and three substeps over the same step, (rows, series, designs)."""
    ramp = start.ramp
    e = eliminate(design, layout, start, 1 / sub)
    now = increment(design, layout, e, start.d[:, None], ramp, sub)
    now += y[:, None]
    first, second = start.slopes.tangent
    tangent = first[:, None], second[:, None]
    for i in range(1, sub.shape[0]):
        going, step = now[:, i:], sub[i:]
        r = later_rates(going, design, layout, drive if ramp is None else drive.after(step * i), wet, tangent)
        going += increment(design, layout, e.from_series(i), r, ramp, step)
    return now
