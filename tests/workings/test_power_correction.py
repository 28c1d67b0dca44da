"""Power corrected to a standard day, against the formula as quoted."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.workings.power_correction import ImpossibleDay, dry_kpa, iso1585, j1349, vapour_kpa


@pytest.mark.parametrize(
    ("dry", "celsius", "factor", "within"),
    [
        (99.0, 25, 1.0, 1e-12),
        (97.5, 35, 1.03809, 5e-6),
        (101.325, 15, 0.953414, 5e-7),
        (83.4, 20, 1.208919, 5e-7),
    ],
    ids=["the standard day", "a warm day", "a cool day at sea level", "a mile up"],
)
def test_the_factor_is_that_of_j1349(dry: float, celsius: float, factor: float, within: float) -> None:
    """SAE J1349 (JUN90 form) as two pages quote it: 1.18·(99/Pd)·√((T+273)/298) - 0.18."""
    assert j1349(dry, celsius).factor == pytest.approx(factor, abs=within)


def test_a_mile_up_it_is_no_correction_any_more() -> None:
    assert not j1349(83.4, 20).valid
    assert j1349(97.5, 35).valid


def test_the_european_form_says_nearly_the_same_of_the_warm_day() -> None:
    """ISO 1585 for positive ignition, from memory."""
    assert iso1585(97.5, 35).factor == pytest.approx(1.038861, abs=1e-6)


def test_water_takes_its_share_of_the_barometer() -> None:
    """Buck's formula of 1996, from memory; IAPWS's own equation of state gives 5.62902 kPa, 97.18549 dry."""
    assert vapour_kpa(35, 100) == pytest.approx(5.62675, abs=1e-4)
    assert dry_kpa(100.0, 35, 50) == pytest.approx(97.18662, abs=1e-4)
    assert vapour_kpa(35, 100) == pytest.approx(5.62902, rel=5e-4)


@settings(deadline=None)
@given(st.floats(85, 105), st.floats(-10, 45), st.floats(0.1, 5))
def test_thinner_or_warmer_air_is_made_up_for_by_more(dry: float, celsius: float, more: float) -> None:
    for form in (j1349, iso1585):
        assert form(dry - more, celsius).factor > form(dry, celsius).factor
        assert form(dry, celsius + more).factor > form(dry, celsius).factor


def test_air_that_can_not_be_is_refused() -> None:
    for wrong in ((0.0, 20.0), (float("nan"), 20.0), (99.0, -300.0)):
        with pytest.raises(ImpossibleDay):
            j1349(*wrong)
    with pytest.raises(ImpossibleDay):
        vapour_kpa(20, 120)
    with pytest.raises(ImpossibleDay):
        dry_kpa(1.0, 50, 100)
