"""An independent solution of the same blast: explicit, second order in space and time, no code in common with the solver.

Isothermal gas in one straight dry hose, cells and designs side by side: slopes limited (monotonized central) in pressure and
speed, HLL fluxes, Heun steps at a Courant number of 0.7. Valve and head see the state that the wave towards them carries:
``u - a ln p`` stays along the one that runs back to the valve, ``u + a ln p`` along the one that reaches the head. Laws of
valve (ISO 6358), holes and friction (Colebrook-White, laminar and the line between) are written out again here.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from purgecalc.transient import Blast

RHO_ANR, T_ANR = 1.185, 293.15


def _friction(re: Any, rough: Any) -> Any:
    """Darcy factor times Reynolds number."""
    turbulent = np.maximum(re, 4000.0)
    x = 7.0 + 0 * re
    for _ in range(7):
        x = -2 * np.log10(rough / 3.7 + 2.51 * x / turbulent)
    at_4000 = 7.0 + 0 * re
    for _ in range(7):
        at_4000 = -2 * np.log10(rough / 3.7 + 2.51 * at_4000 / 4000.0)
    share = np.clip((re - 2000) / 2000, 0, 1)
    between = re * ((1 - share) * 64 / np.maximum(re, 1.0) + share / at_4000**2)
    return np.where(re < 2000, 64.0, np.where(re < 4000, between, re / x**2))


def _valve(c: Any, b: Any, p_1: Any, p_2: Any) -> Any:
    r = np.clip(p_2 / p_1, 0, 1)
    return c * p_1 * np.sqrt(np.maximum(1 - np.maximum((r - b) / (1 - b), 0) ** 2, 0))


def _holes(area: Any, a: Any, p: Any, p_back: Any) -> Any:
    r = np.clip(p_back / np.maximum(p, p_back), (2 / 2.4) ** 3.5, 1)
    return np.where(p > p_back, area * p / a * r ** (1 / 1.4) * np.sqrt(2 * 1.4 / 0.4 * (1 - r ** (0.4 / 1.4))), 0.0)


def _bisect(f: Any, low: Any, high: Any) -> Any:
    """Root of a rising function."""
    for _ in range(36):
        mid = 0.5 * (low + high)
        over = f(mid) > 0
        low, high = np.where(over, low, mid), np.where(over, mid, high)
    return 0.5 * (low + high)


def delivery(blast: Blast, until: Any, cells: int) -> tuple[Any, Any]:
    """When the head first passes nine tenths of its highest flow, and that flow, looked at up to ``until``."""
    shape = np.shape(until)

    def of(value: Any) -> Any:
        return np.broadcast_to(np.asarray(value, float), shape).copy()

    hose, vessel, head = blast.elements[0], blast.source, blast.head
    T, R = of(blast.temperature), of(blast.gas_constant)
    a, D, L = np.sqrt(R * T), of(hose.bore), of(hose.length)
    mu, rough, area, dx = of(blast.viscosity), of(hose.roughness) / D, np.pi * D**2 / 4, L / cells
    conductance = of(blast.valve.conductance) * RHO_ANR * np.sqrt(T_ANR / T)
    b, opening, per_metre = of(blast.valve.critical_ratio), of(blast.valve.opening), of(hose.fittings) / L
    p_s, p_close, p_back = of(vessel.pressure), of(blast.back_pressure) + of(head.crack), of(blast.back_pressure)
    p, u = np.full((cells, *shape), blast.atmosphere), np.zeros((cells, *shape))

    def sides(q: Any) -> tuple[Any, Any]:
        step = np.diff(q, axis=0)
        x, y = step[:-1], step[1:]
        least = np.minimum(2 * np.minimum(abs(x), abs(y)), 0.5 * abs(x + y))
        slope = np.concatenate([step[:1], np.where(x * y > 0, np.sign(x) * least, 0), step[-1:]])
        return q - 0.5 * slope, q + 0.5 * slope

    def ends(p: Any, u: Any, p_s: Any, t: Any) -> tuple[Any, Any, Any, Any]:
        """Mass and momentum flux at the valve; mass flux and pressure at the head."""
        (p_low, p_high), (u_low, u_high) = sides(p), sides(u)
        share = np.minimum(t / opening, 1.0)

        def surplus(x: Any) -> Any:
            return x / a**2 * area * (u_low[0] + a * np.log(x / p_low[0])) - share * _valve(conductance, b, p_s, x)

        x = _bisect(surplus, p_low[0] * np.exp(-u_low[0] / a - 2), np.maximum(p_s, p_low[0] * np.exp(-u_low[0] / a)))
        x = np.minimum(x, p_low[0] * np.exp(1 - u_low[0] / a))  # sonic: no more goes in
        m = x / a**2 * area * (u_low[0] + a * np.log(x / p_low[0]))
        sent = p_high[-1] * np.exp(u_high[-1] / a)

        def kept(y: Any) -> Any:
            return _holes(of(head.hole_area), a, y - of(head.crack), p_back) - y / a**2 * area * a * np.log(sent / y)

        y = np.where(sent > p_close, _bisect(kept, np.minimum(p_close, sent), sent), sent)
        out = np.where(sent > p_close, _holes(of(head.hole_area), a, y - of(head.crack), p_back), 0.0)
        return m / area, x + (m / area) ** 2 * a**2 / x, out / area, y

    def rates(p: Any, g: Any, p_s: Any, t: Any) -> tuple[Any, Any, Any, Any]:
        u = g * a**2 / p
        (p_l, p_r), (u_l, u_r) = sides(p), sides(u)
        pl, ul, pr, ur = p_r[:-1], u_r[:-1], p_l[1:], u_l[1:]
        low, high = np.minimum(np.minimum(ul, ur) - a, 0), np.maximum(np.maximum(ul, ur) + a, 0)
        gl, gr = pl * ul / a**2, pr * ur / a**2
        mass = (high * gl - low * gr + high * low * (pr - pl) / a**2) / (high - low)
        push = (high * (pl + gl * ul) - low * (pr + gr * ur) + high * low * (gr - gl)) / (high - low)
        m_in, push_in, m_out, y = ends(p, u, p_s, t)
        mass = np.concatenate([m_in[None], mass, m_out[None]])
        push = np.concatenate([push_in[None], push, (y + m_out**2 * a**2 / y)[None]])
        loss = _friction(abs(g) * D / mu, rough) * mu / (2 * D**2) + 0.5 * per_metre * abs(g)
        return -np.diff(mass, axis=0) / dx * a**2, -np.diff(push, axis=0) / dx - loss * g * a**2 / p, -m_in * area, y

    g, t = p * u / a**2, np.zeros(shape)
    times, flows = [t], [np.zeros(shape)]
    while np.any(t < until):
        dt = np.where(t < until, 0.7 * dx / (abs(g * a**2 / p) + a).max(axis=0), 0.0)
        d_p, d_g, d_s, y = rates(p, g, p_s, t)
        per_mass = R * T / of(vessel.volume)
        p_1, g_1, s_1 = p + dt * d_p, g + dt * d_g, p_s + dt * d_s * per_mass
        e_p, e_g, e_s, _ = rates(p_1, g_1, s_1, t + dt)
        p, g, p_s = p + 0.5 * dt * (d_p + e_p), g + 0.5 * dt * (d_g + e_g), p_s + 0.5 * dt * (d_s + e_s) * per_mass
        flows.append(_holes(of(head.hole_area), a, y - of(head.crack), p_back))
        times.append(t)
        t = t + dt
    when, flow = np.array(times), np.array(flows)
    most = flow.max(axis=0)
    first = (flow >= 0.9 * most).argmax(axis=0)
    cut = []
    for i, k in np.ndenumerate(first):
        (f_0, f_1), (t_0, t_1) = flow[(slice(k - 1, k + 1), *i)], when[(slice(k - 1, k + 1), *i)]
        cut.append(t_0 + (0.9 * most[i] - f_0) / (f_1 - f_0) * (t_1 - t_0))
    return np.reshape(cut, shape), most
