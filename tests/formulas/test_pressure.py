"""Pressure safety: figures of the scenarios, quadrature, and the pointers of each country."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from purgecalc.catalogue.hoses import hose_materials
from purgecalc.formulas import head as hd
from purgecalc.formulas import noise, receiver
from purgecalc.formulas import pressure as ps

BAR = 1e5
P_ATM = 101325.0


def test_stored_energy_of_a_small_receiver() -> None:
    p, V = P_ATM + 6 * BAR, 24e-3
    assert ps.stored_energy_upper(p, V, P_ATM) == pytest.approx(32e3, abs=1e3)
    assert receiver.stored_energy(p, V, P_ATM) == pytest.approx(18e3, abs=500)
    work, _ = quad(lambda v: p * V / v, V, p * V / P_ATM)
    assert ps.stored_energy_upper(p, V, P_ATM) == pytest.approx(work)
    pushed = P_ATM * (p * V / P_ATM - V)
    assert receiver.stored_energy(p, V, P_ATM) == pytest.approx(work - pushed)


@given(st.floats(1.01, 20))
def test_usable_energy_is_below_the_upper_bound(ratio: float) -> None:
    assert 0 < receiver.stored_energy(ratio * BAR, 1e-2, BAR) < ps.stored_energy_upper(ratio * BAR, 1e-2, BAR)


def reference_jet() -> dict[str, float]:
    """Head 140 mbar above 1 m of water at 60 m altitude, four holes of 1.5 mm, air 15 degC."""
    T, d, C_d = 288.15, 1.5e-3, 0.8
    p_b = 100604.0 + 9807.0
    p_h = p_b + 14.0e3
    A = float(hd.hole_area(4, d))
    m = float(hd.mass_flow(C_d, A, p_h, p_b, T))
    u = float(hd.jet_velocity(p_h, p_b, T))
    F = float(hd.thrust(m, u, hd.exit_pressure(p_h, p_b), p_b, C_d, A))
    M = float(hd.isentropic_mach(p_h, p_b))
    T_e = T / (1 + 0.2 * M**2)
    return {"m": m, "u": u, "F": F, "M": M, "rho": p_b / (287.05 * T_e), "p_h": p_h, "p_b": p_b, "d": d}


def test_impact_of_the_reference_line() -> None:
    jet = reference_jet()
    assert jet["F"] == pytest.approx(0.151, rel=0.03)
    face = ps.jet_impact(jet["F"] / 4, 0.012, jet["p_h"], jet["p_b"])
    assert face == pytest.approx(6e3, abs=500)


def test_impact_of_a_strong_receiver_jet_and_its_cap() -> None:
    # about 2.5 N over four holes, 12 mm away: some 1 bar from each
    assert ps.jet_impact(2.5 / 4, 0.012, P_ATM + 2.2 * BAR, P_ATM) == pytest.approx(1.06 * BAR, rel=0.01)
    assert ps.jet_impact(2.5 / 4, 0.004, P_ATM + 2.2 * BAR, P_ATM) == pytest.approx(2.2 * BAR)  # never above what drives it


def test_blocking_leaves_the_area_of_one_hole() -> None:
    A = hd.hole_area(4, 1.5e-3)
    assert ps.open_area(A, 1, 4) == pytest.approx(hd.hole_area(1, 1.5e-3))
    assert ps.coverage(3, 4) == 0.75


def test_ratings_and_relief() -> None:
    rated, k = 10 * BAR, ps.HOSE_LOSS.value
    assert ps.hose_rating(rated, k, 273.15) == rated
    assert ps.hose_rating(rated, k, 313.15) == pytest.approx(8 * BAR)
    assert ps.hose_rating(rated, k, 500.0) == 0
    assert ps.hose_rating(rated, 0.0, 340.0) == rated
    assert ps.relief_pressure(8 * BAR) == pytest.approx(8.8 * BAR)
    assert ps.highest_pressure(12 * BAR, 8.8 * BAR) == 8.8 * BAR
    assert ps.highest_pressure(3 * BAR, 8.8 * BAR) == 3 * BAR


def test_dead_end_of_an_ordinary_source_is_above_thirty_psi() -> None:
    assert pytest.approx(2.07 * BAR, rel=1e-3) == ps.OSHA_DEAD_END.value
    assert ps.dead_end_pressure(3 * BAR, 3e3) > ps.OSHA_DEAD_END.value
    assert ps.dead_end_pressure(1e3, 3e3) == 0


def test_pointers_by_country() -> None:
    small, large = float(ps.pressure_volume(8 * BAR, 24e-3)), float(ps.pressure_volume(8 * BAR, 40e-3))
    assert (small, large) == pytest.approx((192.0, 320.0))

    def passed(regime: str, volume: float) -> list[float]:
        return [p.above for p in ps.pointers(regime, volume, 8 * BAR)]

    assert 50 in passed("EU", small)
    assert 250 not in passed("UK", small)
    assert 250 in passed("UK", large)
    assert len(passed("US", small)) == 2
    assert len(passed("other", small)) == 1
    assert ps.pointers("nowhere", small, 8 * BAR) == ps.pointers("other", small, 8 * BAR)
    assert ps.pointers("EU", 50.0, 8 * BAR) == ps.pointers("EU", 0.1, 8 * BAR)  # 50 itself is not above 50
    assert ps.pointers("UK", 100.0, 0.4 * BAR) == ()


def test_pointers_point_and_do_not_conclude() -> None:
    for ladder in ps.REGIMES.values():
        for pointer in ladder:
            assert str(pointer.cite)
            assert not any(w in pointer.text for w in ("compliant", "legal", "you must", "illegal", "exempt"))


def test_noise_of_the_same_jet_needs_the_mach_number() -> None:
    jet = reference_jet()
    with_mach = float(noise.power_level(noise.acoustic_power(jet["M"], jet["m"], jet["u"])))
    without = float(noise.power_level(noise.acoustic_power(1.0, jet["m"], jet["u"])))
    assert without - with_mach == pytest.approx(19.0, abs=1.0)


def test_every_material_of_the_catalogue_has_its_loss_by_warmth() -> None:
    assert set(ps.RATING_LOSSES) == set(hose_materials())
