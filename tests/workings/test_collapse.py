"""Collapse of a thin tube from outside: a published worked example, and the limits the formula has to keep."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.workings.collapse import ImpossibleWall, collapse_kpa, free_ring_kpa, mean_radius_mm
from app.workings.units import PressureUnit, convert


def test_the_published_worked_example() -> None:
    # Roark, Table 35 case 19a, worked sheet: E 29e6 psi, nu 0.290, t 0.375 in, r 6.75 in gives 1.357e3 lbf/in²
    stiffness_mpa = convert(29e6, PressureUnit.PSI, PressureUnit.KPA) / 1e3
    found = collapse_kpa(stiffness_mpa, 0.290, 0.375 * 25.4, 6.75 * 25.4)
    assert convert(found, PressureUnit.KPA, PressureUnit.PSI) == pytest.approx(1357, abs=0.5)


def test_an_aluminium_pipe_is_far_from_it() -> None:
    # the same formula, 63.5 x 1.5 mm, mean radius 31.0 mm, E 69 GPa, nu 0.33; Bresse's form gives 21.93064 bar
    assert collapse_kpa(69_000, 0.33, 1.5, 31.0) / 100 == pytest.approx(21.9306, rel=1e-5)


def test_a_ring_without_length_gives_in_sooner() -> None:
    # Timoshenko and Gere, Theory of Elastic Stability (from memory); numpy eigenvalue of the ring: 19.5424 bar
    assert free_ring_kpa(69_000, 1.5, 31.0) / 100 == pytest.approx(19.5424, rel=1e-5)


def test_a_plain_rubber_hose_gives_in_at_a_few_kilopascals() -> None:
    # the same formula, E 5 MPa (an assumption), nu 0.49, wall 4 mm, mean radius 36 mm: 0.67 inHg
    assert collapse_kpa(5.0, 0.49, 4.0, mean_radius_mm(68.0, 4.0)) == pytest.approx(2.25645, rel=1e-5)


@given(st.floats(1, 1000), st.floats(0, 0.5), st.floats(1, 10), st.floats(10, 60))
def test_it_agrees_with_bresse_s_form(stiffness: float, poisson: float, wall: float, radius: float) -> None:
    # Bresse: 2E/(1-nu²) (t/D)³
    bresse = 2 * stiffness * 1e3 / (1 - poisson**2) * (wall / (2 * radius)) ** 3
    assert collapse_kpa(stiffness, poisson, wall, radius) == pytest.approx(bresse)


@given(st.floats(1, 1000), st.floats(1, 10), st.floats(10, 60), st.floats(1.01, 3))
def test_twice_the_wall_is_eight_times_the_strength(stiffness: float, wall: float, radius: float, more: float) -> None:
    thin, thick = (free_ring_kpa(stiffness, t, radius) for t in (wall, wall * more))
    assert thick / thin == pytest.approx(more**3)


@pytest.mark.parametrize(
    ("stiffness", "poisson", "wall", "radius"),
    [(0, 0.4, 4, 36), (5, 0.51, 4, 36), (5, -0.1, 4, 36), (5, 0.4, 0, 36), (5, 0.4, 4, 0), (float("nan"), 0.4, 4, 36)],
)
def test_what_can_not_be_is_refused(stiffness: float, poisson: float, wall: float, radius: float) -> None:
    with pytest.raises(ImpossibleWall):
        collapse_kpa(stiffness, poisson, wall, radius)
