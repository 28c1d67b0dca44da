"""Gauge, vacuum and absolute: by definition, with NIST SP 811 (2008) App. B.8 factors."""

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.workings.atmosphere import standard_pressure_kpa
from app.workings.pressure import Basis, ImpossiblePressure, at_ambient, shown_as, to_absolute_kpa
from app.workings.units import PressureUnit, convert

SEA_LEVEL = 101.325  # kPa, the standard atmosphere
INHG, PSI, KPA = PressureUnit.INHG, PressureUnit.PSI, PressureUnit.KPA
AMBIENT = st.floats(45, 110)
ABSOLUTE = st.floats(0, 500)
ANY_UNIT = st.sampled_from(PressureUnit)


def test_boost_is_added_to_the_air_around_the_car() -> None:
    # 14.7 psig at 101.325 kPa: 202.678 kPa, 29.396 psia
    absolute = to_absolute_kpa(14.7, PSI, Basis.GAUGE, SEA_LEVEL)
    assert absolute == pytest.approx(202.678, abs=6e-4)
    assert shown_as(absolute, PSI, Basis.ABSOLUTE, SEA_LEVEL) == pytest.approx(29.396, abs=6e-4)


def test_vacuum_is_taken_from_the_air_around_the_car() -> None:
    # 20 inHg conventional (0 °C) of vacuum at 101.325 kPa: 33.5972 kPa; 33.788 would be inches at 60 °F
    assert to_absolute_kpa(20, INHG, Basis.VACUUM, SEA_LEVEL) == pytest.approx(33.5972, abs=1e-4)


def test_a_unit_library_agrees_on_boost_and_vacuum() -> None:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    air = registry.Quantity(SEA_LEVEL, "kPa")
    boost = (air + registry.Quantity(14.7, "psi")).to("kPa").magnitude
    vacuum = (air - registry.Quantity(20.0, "inch_Hg")).to("kPa").magnitude
    assert to_absolute_kpa(14.7, PSI, Basis.GAUGE, SEA_LEVEL) == pytest.approx(boost, rel=1e-7)
    assert to_absolute_kpa(20, INHG, Basis.VACUUM, SEA_LEVEL) == pytest.approx(vacuum, rel=1e-7)


def test_the_same_idle_shows_five_inches_less_vacuum_at_5000_feet() -> None:
    # U.S. Standard Atmosphere 1976 at 1524 m and the definition of vacuum: 20.0 inHg becomes 14.975 inHg
    high = standard_pressure_kpa(1524)
    assert at_ambient(20.0, INHG, Basis.VACUUM, SEA_LEVEL, high) == pytest.approx(14.975, abs=1e-3)


def test_the_same_charge_pressure_shows_more_boost_at_5000_feet() -> None:
    # U.S. Standard Atmosphere 1976: 84.3073 kPa at 1524 m, so 17.018 kPa or 2.468 psi more
    high = standard_pressure_kpa(1524)
    assert at_ambient(12.0, PSI, Basis.GAUGE, SEA_LEVEL, high) == pytest.approx(14.468, abs=1e-3)


def test_an_absolute_figure_is_the_same_anywhere() -> None:
    assert at_ambient(35.0, KPA, Basis.ABSOLUTE, SEA_LEVEL, 84.3) == pytest.approx(35.0)


def test_a_gauge_below_zero_is_vacuum_by_another_name() -> None:
    by_gauge = to_absolute_kpa(-20, INHG, Basis.GAUGE, SEA_LEVEL)
    assert by_gauge == to_absolute_kpa(20, INHG, Basis.VACUUM, SEA_LEVEL)


@given(ABSOLUTE, ANY_UNIT, st.sampled_from([Basis.GAUGE, Basis.ABSOLUTE]), AMBIENT)
def test_shown_and_read_back_is_the_same_air(absolute: float, unit: PressureUnit, basis: Basis, ambient: float) -> None:
    shown = shown_as(absolute, unit, basis, ambient)
    assert to_absolute_kpa(shown, unit, basis, ambient) == pytest.approx(absolute, abs=1e-9)


@given(st.floats(0, 1), ANY_UNIT, AMBIENT)
def test_vacuum_shown_and_read_back_is_the_same_air(part: float, unit: PressureUnit, ambient: float) -> None:
    absolute = part * ambient
    shown = shown_as(absolute, unit, Basis.VACUUM, ambient)
    assert shown >= 0
    assert to_absolute_kpa(shown, unit, Basis.VACUUM, ambient) == pytest.approx(absolute, abs=1e-9)


@given(st.floats(-40, 400), ANY_UNIT, AMBIENT, AMBIENT)
def test_a_gauge_moves_by_what_the_air_moves(gauge_kpa: float, unit: PressureUnit, here: float, there: float) -> None:
    value = convert(gauge_kpa, KPA, unit)
    moved = at_ambient(value, unit, Basis.GAUGE, here, there)
    assert convert(moved - value, unit, KPA) == pytest.approx(here - there, abs=1e-9)


@given(ANY_UNIT, AMBIENT)
@example(PSI, 55.6)  # here the way back falls 7e-15 kPa short of zero
def test_a_perfect_vacuum_is_as_deep_as_the_air_and_no_deeper(unit: PressureUnit, ambient: float) -> None:
    all_of_it = shown_as(0.0, unit, Basis.VACUUM, ambient)
    nothing = to_absolute_kpa(all_of_it, unit, Basis.VACUUM, ambient)
    assert nothing >= 0
    assert nothing == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(ImpossiblePressure):
        to_absolute_kpa(all_of_it * 1.001, unit, Basis.VACUUM, ambient)


@pytest.mark.parametrize(
    ("value", "unit", "basis", "sentence"),
    [
        (32, INHG, Basis.VACUUM, "a vacuum of 32 inHg is deeper than the 101.3 kPa of air around the car allows"),
        (-15, PSI, Basis.GAUGE, "a gauge reading of -15 psi is lower than the 101.3 kPa of air around the car allows"),
        (-5, KPA, Basis.ABSOLUTE, "an absolute pressure of -5 kPa is below a perfect vacuum"),
        (-20, INHG, Basis.VACUUM, "a vacuum is written as a positive number, and -20 inHg is below zero"),
        (float("nan"), PSI, Basis.GAUGE, "a pressure has to be a number, and nan is not one"),
        (float("inf"), PSI, Basis.GAUGE, "a pressure has to be a number, and inf is not one"),
    ],
)
def test_an_impossible_reading_is_refused_by_its_figures(
    value: float, unit: PressureUnit, basis: Basis, sentence: str
) -> None:
    with pytest.raises(ImpossiblePressure) as refusal:
        to_absolute_kpa(value, unit, basis, SEA_LEVEL)
    assert str(refusal.value) == sentence


def test_boost_cannot_be_shown_as_vacuum() -> None:
    with pytest.raises(ImpossiblePressure, match=r"^150\.0 kPa absolute is above the 101\.3 kPa of air .* not vacuum$"):
        shown_as(150, INHG, Basis.VACUUM, SEA_LEVEL)


def test_no_vacuum_at_all_shows_as_zero_and_never_as_minus_nothing() -> None:
    assert shown_as(SEA_LEVEL + 1e-12, INHG, Basis.VACUUM, SEA_LEVEL) == 0.0


def test_less_than_nothing_cannot_be_shown() -> None:
    with pytest.raises(ImpossiblePressure, match=r"^an absolute pressure of -1 kPa is below a perfect vacuum$"):
        shown_as(-1, PSI, Basis.GAUGE, SEA_LEVEL)


@pytest.mark.parametrize("air", [0.0, -3.0])
def test_a_car_stands_in_air(air: float) -> None:
    with pytest.raises(ImpossiblePressure, match=r"^the air around the car cannot be at "):
        to_absolute_kpa(10, PSI, Basis.GAUGE, air)
    with pytest.raises(ImpossiblePressure, match=r"^the air around the car cannot be at "):
        shown_as(100, PSI, Basis.GAUGE, air)
