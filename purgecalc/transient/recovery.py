"""How long the compressor runs on after the blast, and what it makes, with the receiver's own temperature."""

from __future__ import annotations

import numpy as np

from purgecalc.formulas import source as src
from purgecalc.formulas.air import GAMMA
from purgecalc.transient.blast import Control
from purgecalc.transient.designs import Designs
from purgecalc.transient.laws import Array

RECOVERY_PARTS = 32


def recovery(mass: Array, pressure: Array, on: Array, d: Designs) -> tuple[Array, Array]:
    """Seconds from the shutting of the valve until cut-out, the run-up included, and kilograms made in them.

    ``mass``, ``pressure`` of the receiver at the shutting, ``on`` 1 where the compressor then runs. Zero where the switch
    leaves the compressor standing, infinite where its flow ends below cut-out, nan without a switch.
    Steps of equal mass; in each the temperature follows its exact law for a constant flow.
    """
    switched = (d.control == Control.SWITCH) | (d.control == Control.COMMANDED)
    runs = switched & ((on > 0) | (pressure <= d.cut_in))
    time, made = np.where(switched, 0.0, np.nan), np.where(switched, 0.0, np.nan)
    i = np.flatnonzero(runs)
    if i.size:
        time[i], made[i] = _filling(mass[i], pressure[i], on[i], d.take(i))
    return time, made


def _filling(mass: Array, p: Array, on: Array, d: Designs) -> tuple[Array, Array]:
    T = p / (mass * d.rv)
    coolest = np.minimum(np.minimum(T, d.T_wall), d.T_in)
    share = np.maximum(np.minimum(d.cut_out, 1e9) / (d.rv * coolest) - mass, 0.0) / RECOVERY_PARTS
    t, filling, gained = np.where(on > 0, 0.0, 0.5 * d.run_up), p < d.cut_out, 0.0 * mass
    for _ in range(RECOVERY_PARTS):
        flow, _slope = src.curve(p, d.curve_p, d.curve_m)
        T_next = _warm(T, mass, mass + share, np.asarray(flow), d)
        guess = (mass + share) * d.rv * T_next
        flow, _slope = src.curve(0.5 * (p + guess), d.curve_p, d.curve_m)
        T_next = _warm(T, mass, mass + share, np.asarray(flow), d)
        p_next = (mass + share) * d.rv * T_next
        part = np.clip((d.cut_out - p) / np.maximum(p_next - p, 1e-9), 0.0, 1.0)
        dt = np.where(flow > 0, share / np.maximum(flow, 1e-300), np.inf)
        t = np.where(filling, t + np.where(part > 0, dt * part, 0.0), t)
        gained = np.where(filling, gained + share * part, gained)
        filling = filling & (p_next < d.cut_out)
        mass, T, p = mass + share, T_next, p_next
    return t, gained


def _warm(T: Array, mass: Array, after: Array, flow: Array, d: Designs) -> Array:
    """Temperature after filling from ``mass`` to ``after``: dT/dm = [gamma T_in - T + k (T_wall - T)]/m, k = hA/(c_v flow)."""
    k = np.minimum(d.wall / np.maximum(flow, 1e-300), 1e12)
    level = (GAMMA.value * d.T_in + k * d.T_wall) / (1 + k)
    out: Array = level + (T - level) * np.exp(-(1 + k) * np.log(after / mass))
    return out
