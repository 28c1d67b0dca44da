"""Units against NIST SP 811 (2008) Appendix B.8, and against a general unit library as a second opinion."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.workings.units import (
    DistanceUnit,
    LengthUnit,
    MassFlowUnit,
    PressureUnit,
    TemperatureUnit,
    TimeUnit,
    TorqueUnit,
    Unit,
    UnitMismatch,
    UnknownUnit,
    convert,
    from_si,
    to_si,
    unit_named,
    unit_of,
)

KINDS: tuple[type[Unit], ...] = (
    PressureUnit,
    TorqueUnit,
    MassFlowUnit,
    LengthUnit,
    DistanceUnit,
    TemperatureUnit,
    TimeUnit,
)
UNITS = [unit for kind in KINDS for unit in kind]
PAIRS = [(one, other) for kind in KINDS for one in kind for other in kind]

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()
IN_PINT = {
    PressureUnit.PSI: "psi",
    PressureUnit.BAR: "bar",
    PressureUnit.KPA: "kPa",
    PressureUnit.INHG: "inch_Hg",
    PressureUnit.MMHG: "mmHg",
    PressureUnit.MBAR: "mbar",
    PressureUnit.INH2O: "inH2O",
    TorqueUnit.NEWTON_METRE: "N*m",
    TorqueUnit.POUND_FOOT: "lbf*ft",
    TorqueUnit.POUND_INCH: "lbf*inch",
    TorqueUnit.KILOGRAM_METRE: "kgf*m",
    MassFlowUnit.GRAM_PER_SECOND: "g/s",
    MassFlowUnit.KILOGRAM_PER_HOUR: "kg/hour",
    MassFlowUnit.POUND_PER_MINUTE: "lb/minute",
    LengthUnit.MILLIMETRE: "mm",
    LengthUnit.CENTIMETRE: "cm",
    LengthUnit.METRE: "m",
    LengthUnit.INCH: "inch",
    LengthUnit.FOOT: "foot",
    DistanceUnit.KILOMETRE: "km",
    DistanceUnit.MILE: "mile",
    TemperatureUnit.CELSIUS: "degC",
    TemperatureUnit.FAHRENHEIT: "degF",
    TimeUnit.SECOND: "s",
    TimeUnit.MILLISECOND: "ms",
}


@pytest.mark.parametrize(
    ("unit", "si", "last_digit"),
    [
        # NIST SP 811 (2008) App. B.8, as printed
        (PressureUnit.PSI, 6.894757e3, 1e-3),
        (PressureUnit.INHG, 3.386389e3, 1e-3),
        (PressureUnit.MMHG, 1.333224e2, 1e-4),
        (PressureUnit.INH2O, 2.490889e2, 1e-4),
        (TorqueUnit.POUND_FOOT, 1.355818, 1e-6),
        (TorqueUnit.POUND_INCH, 1.129848e-1, 1e-7),
        (TorqueUnit.KILOGRAM_METRE, 9.80665, 1e-9),
        (LengthUnit.INCH, 2.54e-2, 1e-12),
        (LengthUnit.FOOT, 3.048e-1, 1e-12),
        (DistanceUnit.MILE, 1.609344e3, 1e-9),
        # not seen printed: exact from the pound of 0.45359237 kg
        (MassFlowUnit.POUND_PER_MINUTE, 7.559873e-3, 1e-9),
        (MassFlowUnit.KILOGRAM_PER_HOUR, 2.777778e-4, 1e-10),
    ],
)
def test_a_factor_is_the_printed_one(unit: Unit, si: float, last_digit: float) -> None:
    assert to_si(1, unit) == pytest.approx(si, abs=0.51 * last_digit)


def test_a_bar_is_14_50377_psi() -> None:
    # NIST SP 811 (2008) App. B.8, the reciprocal
    assert convert(1, PressureUnit.BAR, PressureUnit.PSI) == pytest.approx(14.50377, abs=5e-6)


def test_an_inch_of_mercury_is_the_conventional_one_and_not_that_of_60_degrees() -> None:
    # NIST SP 811 (2008) App. B.8: 3.386 389 E+03 Pa conventional, 3.376 85 E+03 Pa at 60 °F
    assert to_si(1, PressureUnit.INHG) - 3376.85 == pytest.approx(9.54, abs=0.01)


def test_760_mmhg_is_the_standard_atmosphere_but_for_the_torr_s_rounding() -> None:
    # 101 325.0144 Pa by the conventional density of mercury; 760 torr is 101 325 Pa by definition
    assert to_si(760, PressureUnit.MMHG) == pytest.approx(101325.0144, abs=1e-4)


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"),
    # the two scales' own fixed points: NIST SP 811 (2008) App. B.9, t/°C = (t/°F - 32)/1.8
    [(0, 32), (100, 212), (-40, -40), (37, 98.6)],
)
def test_the_thermometers_meet_at_their_fixed_points(celsius: float, fahrenheit: float) -> None:
    assert convert(celsius, TemperatureUnit.CELSIUS, TemperatureUnit.FAHRENHEIT) == pytest.approx(fahrenheit)
    assert convert(fahrenheit, TemperatureUnit.FAHRENHEIT, TemperatureUnit.CELSIUS) == pytest.approx(celsius, abs=1e-9)


def test_freezing_is_273_15_kelvin() -> None:
    assert to_si(0, TemperatureUnit.CELSIUS) == 273.15


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_a_unit_library_agrees(one: Unit, other: Unit) -> None:
    theirs = REGISTRY.Quantity(12.5, IN_PINT[one]).to(IN_PINT[other]).magnitude
    assert convert(12.5, one, other) == pytest.approx(theirs, rel=1e-6)


@given(st.sampled_from(PAIRS), st.floats(-1e6, 1e6))
def test_there_and_back_is_the_same_value(pair: tuple[Unit, Unit], value: float) -> None:
    one, other = pair
    assert convert(convert(value, one, other), other, one) == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.sampled_from(UNITS), st.floats(-1e6, 1e6))
def test_si_and_back_is_the_same_value(unit: Unit, value: float) -> None:
    assert from_si(to_si(value, unit), unit) == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.sampled_from(UNITS), st.floats(allow_nan=False))
def test_a_figure_kept_in_its_unit_is_not_touched(unit: Unit, value: float) -> None:
    assert convert(value, unit, unit) == value


@given(st.sampled_from(PAIRS), st.floats(-1e6, 1e6), st.floats(1e-3, 1e6))
def test_more_stays_more_in_any_unit(pair: tuple[Unit, Unit], value: float, more: float) -> None:
    assert convert(value + more, *pair) > convert(value, *pair)


def test_units_of_different_things_are_refused_in_a_sentence() -> None:
    with pytest.raises(UnitMismatch, match=r"^psi is a unit of pressure and N·m a unit of torque, so one cannot be"):
        convert(12, PressureUnit.PSI, TorqueUnit.NEWTON_METRE)


def test_a_hose_is_not_measured_in_miles() -> None:
    with pytest.raises(UnitMismatch, match=r"^mm is a unit of length and mi a unit of distance driven"):
        convert(350, LengthUnit.MILLIMETRE, DistanceUnit.MILE)


@pytest.mark.parametrize("unit", UNITS)
def test_a_unit_is_found_by_its_key(unit: Unit) -> None:
    assert unit_named(unit.value) is unit
    assert unit_of(unit.value, type(unit)) is unit


def test_no_key_names_two_units() -> None:
    assert len({unit.value for unit in UNITS}) == len(UNITS)


def test_a_key_of_another_quantity_says_what_is_needed() -> None:
    with pytest.raises(UnitMismatch, match=r"^N·m is a unit of torque, and a unit of pressure is needed here$"):
        unit_of("N.m", PressureUnit)


def test_a_misspelt_key_is_told_the_nearest() -> None:
    with pytest.raises(UnknownUnit, match=r"^no unit is called 'psj'; did you mean 'psi'\?$"):
        unit_named("psj")


def test_a_key_like_no_other_is_refused_without_a_guess() -> None:
    with pytest.raises(UnknownUnit, match=r"^no unit is called 'fortnight'$"):
        unit_of("fortnight", TimeUnit)


def test_a_printed_label_is_not_a_key() -> None:
    assert TorqueUnit.NEWTON_METRE.value == "N.m"
    assert TorqueUnit.NEWTON_METRE.label == "N·m"
    assert TemperatureUnit.CELSIUS.label == "°C"
