"""Air through a hole, against isentropic relations and a library of them."""

import pytest
from fluids.compressible import P_critical_flow
from hypothesis import given
from hypothesis import strategies as st

from app.workings.orifice import CHOKED, CRITICAL, ImpossibleHole, flow, flow_function, hole


def test_the_critical_ratio_is_that_of_the_tables_and_of_a_library() -> None:
    """NACA Report 1135 (1953): 0.5283; the library `fluids`."""
    assert pytest.approx(0.528282, abs=1e-6) == CRITICAL
    assert pytest.approx(P_critical_flow(1.0, 1.4), rel=1e-9) == CRITICAL


def test_choked_air_flows_by_its_published_function() -> None:
    """NACA Report 1135: 0.684731, and the most the subsonic function comes to."""
    assert pytest.approx(0.684731, abs=1e-6) == CHOKED
    assert max(flow_function(n / 10_000) for n in range(10_001)) == pytest.approx(CHOKED, abs=1e-7)


@pytest.mark.parametrize(
    ("mm", "before", "behind", "celsius", "grams"),
    [
        (2.0, 201.325, 101.325, 50.0, 0.867391),
        (2.0, 151.325, 101.325, 40.0, 0.632302),
        (3.175, 101.325, 35.0, 15.0, 1.165075),
    ],
    ids=["a boost leak, choked", "a boost leak, not choked", "a vacuum leak at idle"],
)
def test_a_hole_flows_as_reckoned_by_another_way(
    mm: float, before: float, behind: float, celsius: float, grams: float
) -> None:
    """Isentropic orifice; the figures come from the Mach-number form of the same flow, reckoned apart."""
    assert flow(mm, before, behind, celsius) == pytest.approx(grams, rel=2e-6)
    assert hole(grams, before, behind, celsius) == pytest.approx(mm, rel=2e-6)


def test_a_formula_for_water_would_call_it_a_quarter_more() -> None:
    """Bernoulli, with the density before the hole: 0.786281 g/s where air flows 0.632302."""
    assert 0.786281 / flow(2.0, 151.325, 101.325, 40.0) == pytest.approx(1.2435, abs=1e-4)


@given(st.floats(0.01, 80), st.floats(20, 400), st.floats(0, 0.999), st.floats(-30, 150))
def test_hole_and_flow_undo_each_other(mm: float, before: float, ratio: float, celsius: float) -> None:
    assert hole(flow(mm, before, before * ratio, celsius), before, before * ratio, celsius) == pytest.approx(
        mm, rel=1e-9
    )


@pytest.mark.parametrize(
    "given_",
    [(1.0, 100.0, 100.0, 20.0), (1.0, 100.0, 120.0, 20.0), (-1.0, 200.0, 100.0, 20.0), (1.0, 200.0, 100.0, -300.0)],
)
def test_a_hole_that_can_not_be_is_refused(given_: tuple[float, float, float, float]) -> None:
    with pytest.raises(ImpossibleHole):
        hole(*given_)
