"""Units as they stand on gauges, wrenches and tape measures; SI inside, converted only at the edge.

Factors: NIST SP 811 (2008) Appendix B.8, rebuilt here from the exact definitions behind them
(pound 0.45359237 kg, inch 25.4 mm, standard gravity 9.80665 m/s²), so that none is a rounded figure.
"""

from difflib import get_close_matches
from enum import StrEnum
from typing import Self, TypeVar

_INCH = 0.0254  # m
_FOOT = 0.3048  # m
_GRAVITY = 9.80665  # m/s²
_POUND = 0.45359237  # kg
_POUND_FORCE = _POUND * _GRAVITY  # N
_MERCURY = 13595.1  # kg/m³, conventional (0 °C). The 60 °F inch of mercury is 0.28 % smaller; gauges use this one.
_WATER = 1000.0  # kg/m³, conventional
_KELVIN_AT_0_C = 273.15
_RANKINE_AT_0_F = 459.67


class UnitMismatch(ValueError):
    """Two units that measure different things were put together; the message is a sentence for the person."""


class UnknownUnit(ValueError):
    """No unit goes by that key; the message names the nearest one there is."""


class Unit(StrEnum):
    """A unit: its stored key as the value, `label` as printed, and how to reach SI.

    A value v in this unit is v * si_per_unit + si_at_zero in SI; si_at_zero is 0 save for temperatures.
    """

    label: str
    si_per_unit: float
    si_at_zero: float

    def __new__(cls, key: str, label: str, si_per_unit: float, si_at_zero: float = 0.0) -> Self:
        """Keep the scale on the member, so that the enum is itself the table."""
        unit = str.__new__(cls, key)
        unit._value_ = key
        unit.label = label
        unit.si_per_unit = si_per_unit
        unit.si_at_zero = si_at_zero
        return unit


class PressureUnit(Unit):
    """Pressure, SI: pascal."""

    PSI = "psi", "psi", _POUND_FORCE / _INCH**2
    BAR = "bar", "bar", 1e5
    KPA = "kPa", "kPa", 1e3
    INHG = "inHg", "inHg", _MERCURY * _GRAVITY * _INCH
    MMHG = "mmHg", "mmHg", _MERCURY * _GRAVITY * 1e-3
    MBAR = "mbar", "mbar", 1e2
    INH2O = "inH2O", "inH2O", _WATER * _GRAVITY * _INCH


class TorqueUnit(Unit):
    """Torque, SI: newton metre."""

    NEWTON_METRE = "N.m", "N·m", 1.0
    POUND_FOOT = "lbf.ft", "lbf·ft", _POUND_FORCE * _FOOT
    POUND_INCH = "lbf.in", "lbf·in", _POUND_FORCE * _INCH
    KILOGRAM_METRE = "kgf.m", "kgf·m", _GRAVITY


class MassFlowUnit(Unit):
    """Mass flow, SI: kilogram a second."""

    GRAM_PER_SECOND = "g/s", "g/s", 1e-3
    KILOGRAM_PER_HOUR = "kg/h", "kg/h", 1 / 3600
    POUND_PER_MINUTE = "lb/min", "lb/min", _POUND / 60


class LengthUnit(Unit):
    """Length of a hose, a bore, a height; SI: metre."""

    MILLIMETRE = "mm", "mm", 1e-3
    CENTIMETRE = "cm", "cm", 1e-2
    METRE = "m", "m", 1.0
    INCH = "in", "in", _INCH
    FOOT = "ft", "ft", _FOOT


class DistanceUnit(Unit):
    """Distance driven, SI: metre. Apart from length: a slip between the two is likelier than a use."""

    KILOMETRE = "km", "km", 1e3
    MILE = "mi", "mi", 5280 * _FOOT


class TemperatureUnit(Unit):
    """Temperature, not a difference of temperatures; SI: kelvin."""

    CELSIUS = "degC", "°C", 1.0, _KELVIN_AT_0_C
    FAHRENHEIT = "degF", "°F", 5 / 9, _RANKINE_AT_0_F * 5 / 9


class TimeUnit(Unit):
    """A short time by the stopwatch or the log, SI: second."""

    SECOND = "s", "s", 1.0
    MILLISECOND = "ms", "ms", 1e-3


_MEASURES: dict[type[Unit], str] = {
    PressureUnit: "pressure",
    TorqueUnit: "torque",
    MassFlowUnit: "mass flow",
    LengthUnit: "length",
    DistanceUnit: "distance driven",
    TemperatureUnit: "temperature",
    TimeUnit: "time",
}

_BY_KEY: dict[str, Unit] = {unit.value: unit for kind in _MEASURES for unit in kind}

U = TypeVar("U", bound=Unit)


def to_si(value: float, unit: Unit) -> float:
    """Turn a value in `unit` into its SI unit: Pa, N·m, kg/s, m, K or s."""
    return value * unit.si_per_unit + unit.si_at_zero


def from_si(value: float, unit: Unit) -> float:
    """Turn an SI value (Pa, N·m, kg/s, m, K or s) into `unit`."""
    return (value - unit.si_at_zero) / unit.si_per_unit


def convert(value: float, from_unit: Unit, to_unit: Unit) -> float:
    """Turn a value in one unit into another of the same quantity; a figure kept in its unit comes back untouched.

    Raises UnitMismatch when the two do not measure the same thing.
    """
    if type(from_unit) is not type(to_unit):
        raise UnitMismatch(
            f"{from_unit.label} is a unit of {_MEASURES[type(from_unit)]} and {to_unit.label} "
            f"a unit of {_MEASURES[type(to_unit)]}, so one cannot be turned into the other"
        )
    if from_unit is to_unit:
        return value
    return from_si(to_si(value, from_unit), to_unit)


def unit_named(key: str) -> Unit:
    """Find a unit of any quantity by its stored key ("psi", "N.m").

    Raises UnknownUnit, which names the nearest key if one is near.
    """
    found = _BY_KEY.get(key)
    if found is not None:
        return found
    near = get_close_matches(key, _BY_KEY, n=1)
    hint = f"; did you mean {near[0]!r}?" if near else ""
    raise UnknownUnit(f"no unit is called {key!r}{hint}")


def unit_of(key: str, kind: type[U]) -> U:
    """Find a unit by its stored key among those of one quantity: `unit_of("psi", PressureUnit)`.

    Raises UnitMismatch when the key is a unit of another quantity, UnknownUnit when it is none.
    """
    unit = unit_named(key)
    if isinstance(unit, kind):
        return unit
    raise UnitMismatch(
        f"{unit.label} is a unit of {_MEASURES[type(unit)]}, and a unit of {_MEASURES[kind]} is needed here"
    )
