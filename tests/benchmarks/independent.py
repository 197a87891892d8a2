"""The same blast by an independent finite-volume code: clawpack's Euler solver, with its own Riemann solver and limiter.

    pip install clawpack        # needs a Fortran compiler; used here only
    python -m tests.benchmarks.independent [cells]

Receiver, valve, hose and head of the first reference case, for the first 0.3 s. clawpack solves the full Euler
equations; with a ratio of specific heats next to 1 the gas keeps its temperature, which is the isothermal hose.
Friction enters as a source term, valve and head as boundary fluxes. Prints both delivery times and what they cost.
"""

import os
import sys
import tempfile
import time

import numpy as np

from purgecalc.transient import churchill, simulate
from tests.transient.cases import CASES

R, T, GAMMA = 287.05, 293.15, 1.0005
A2 = R * T
D, L, K, EPS = 0.006, 7.6, 2.0, 1.5e-6
AREA = np.pi * D**2 / 4
HEAD = 0.65 * 8 * np.pi * 0.001**2 / 4
P_ATM = 101325.0
P_BACK, CRACK, MU = P_ATM + 998.2 * 9.80665, 5e3, 1.813e-5
END = 0.3


def valve_flow(p_1: float, p_2: float, t: float) -> float:
    r = min(max(p_2 / p_1, 0.0), 1.0)
    past = max(r - 0.3, 0.0) / 0.7
    return min(t / 0.02, 1.0) * 2e-8 * 1.185 * p_1 * np.sqrt(1 - past**2)


def head_flow(p_end: float) -> float:
    p = p_end - CRACK
    if p <= P_BACK:
        return 0.0
    r = max(P_BACK / p, 0.5283)
    return HEAD * p / np.sqrt(A2) * np.sqrt(7.0 * (r ** (2 / 1.4) - r ** (2.4 / 1.4)))


def by_clawpack(cells: int) -> tuple[float, float]:
    """Delivery time and seconds it took."""
    os.chdir(tempfile.mkdtemp())  # clawpack leaves a log file where it is imported
    from clawpack import pyclaw, riemann

    solver = pyclaw.ClawSolver1D(riemann.euler_with_efix_1D)
    solver.limiters = pyclaw.limiters.tvd.vanleer
    solver.cfl_desired, solver.cfl_max, solver.max_steps = 0.8, 0.95, 1000000
    solver.bc_lower[0] = solver.bc_upper[0] = pyclaw.BC.custom
    grid = pyclaw.Domain([pyclaw.Dimension(0.0, L, cells, name="x")])
    state = pyclaw.State(grid, 3)
    state.problem_data.update(gamma=GAMMA, gamma1=GAMMA - 1, efix=True)
    state.q[0], state.q[1], state.q[2] = P_ATM / A2, 0.0, P_ATM / (GAMMA - 1)
    vessel = {"p": P_ATM + 6e5}

    def pressure(q: np.ndarray) -> np.ndarray:
        return (GAMMA - 1) * (q[2] - 0.5 * q[1] ** 2 / q[0])

    def ghost(qbc: np.ndarray, cell: int, ghosts: slice, flow: float) -> None:
        """Ghost cells with the pressure of the end cell and the velocity that carries ``flow``."""
        p = pressure(qbc[:, cell])
        rho = p / A2
        u = flow / (AREA * rho)
        qbc[0, ghosts], qbc[1, ghosts], qbc[2, ghosts] = rho, rho * u, p / (GAMMA - 1) + 0.5 * rho * u * u

    def lower(state, dim, t, qbc, auxbc, num_ghost) -> None:  # type: ignore[no-untyped-def]
        flow = valve_flow(vessel["p"], float(pressure(qbc[:, num_ghost])), t)
        mirrored = 2 * flow - float(qbc[1, num_ghost]) * AREA  # so that the face between carries the flow itself
        ghost(qbc, num_ghost, slice(0, num_ghost), mirrored)

    def upper(state, dim, t, qbc, auxbc, num_ghost) -> None:  # type: ignore[no-untyped-def]
        last = qbc.shape[1] - num_ghost - 1
        flow = head_flow(float(pressure(qbc[:, last])))
        ghost(qbc, last, slice(last + 1, None), 2 * flow - float(qbc[1, last]) * AREA)

    def friction(solver, state, dt) -> None:  # type: ignore[no-untyped-def]
        q = state.q
        g = q[1].copy()
        re = np.maximum(np.abs(g) * D / MU, 1e-6)
        f_re, _ = churchill(re, np.full_like(re, EPS / D))
        drag = (f_re * MU / (2 * D**2) + K / (2 * L) * np.abs(g)) / q[0]
        q[1] = g / (1 + dt * drag)
        p = q[0] * A2  # wall at the temperature of the air
        q[2] = p / (GAMMA - 1) + 0.5 * q[1] ** 2 / q[0]
        vessel["p"] -= dt * A2 / 5e-3 * valve_flow(vessel["p"], float(p[0]), state.t)
        history.append((state.t, head_flow(float(1.5 * p[-1] - 0.5 * p[-2]))))

    history: list[tuple[float, float]] = []
    solver.user_bc_lower, solver.user_bc_upper = lower, upper
    solver.step_source, solver.source_split = friction, 1
    claw = pyclaw.Controller()
    claw.solution, claw.solver, claw.tfinal = pyclaw.Solution(state, grid), solver, END
    claw.num_output_times, claw.output_format, claw.verbosity = 1, None, 0
    start = time.perf_counter()
    claw.run()
    t, flow = np.array(history).T
    at = int(np.argmax(flow >= 0.9 * flow.max()))
    crossing = np.interp(0.9 * flow.max(), flow[at - 1 : at + 1], t[at - 1 : at + 1])
    return float(crossing), time.perf_counter() - start


def main() -> None:
    cells = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    simulate(CASES["receiver, short hose"][0])
    start = time.perf_counter()
    ours = simulate(CASES["receiver, short hose"][0])
    cost = time.perf_counter() - start
    t_del, seconds = by_clawpack(cells)
    print(f"purgecalc   delivered at {1e3 * float(ours.delivery_time):8.2f} ms   {cost:7.3f} s for the whole blast")
    print(f"clawpack    delivered at {1e3 * t_del:8.2f} ms   {seconds:7.3f} s for the first {END} s, {cells} cells")
    print(f"difference  {100 * (float(ours.delivery_time) / t_del - 1):+.2f} %")


if __name__ == "__main__":
    main()
