"""A reading as entered, turned to SI: a pressure to kPa absolute, with the pressure of the air it was read in."""

import math
from dataclasses import dataclass
from typing import TypeVar

from app.airpath.readings import KindOfReading
from app.workings.ambient import Air, air_around, is_air
from app.workings.pressure import Basis, to_absolute_kpa
from app.workings.units import (
    MassFlowUnit,
    PressureUnit,
    TimeUnit,
    Unit,
    UnitMismatch,
    UnknownUnit,
    convert,
    to_si,
    unit_of,
)

#: Barometer figure, its unit, altitude (m): any may be missing.
Ambient = tuple[float | None, str | None, float | None]

#: Beyond these a figure is a slip of the finger or of the unit, not a reading (SI units of the quantity).
_BELIEVABLE = {"time": (0.0, 120.0), "percent": (-100.0, 100.0), "mass_flow": (0.0, 2.0)}
_PRESSURE_KPA = (0.5, 600.0)
_UNIT_OF: dict[str, type[Unit]] = {"time": TimeUnit, "mass_flow": MassFlowUnit}
_MEASURES: dict[type[Unit], str] = {PressureUnit: "pressure", TimeUnit: "time", MassFlowUnit: "airflow"}
U = TypeVar("U", bound=Unit)


@dataclass(frozen=True, slots=True)
class Taken:
    """`si`: kPa absolute for a pressure, s, kg/s or percent for the others, the figure itself for a free kind."""

    si: float
    ambient_kpa: float | None


def air_of(ambient: Ambient) -> Air:
    """The air around the car and which of barometer and height told it, as app.workings.ambient chooses.

    Raises ValueError("field: sentence") for a unit that is none of pressure, or a figure no car ever drove in.
    """
    value, unit, altitude_m = ambient
    if value is None:
        return air_around(None, None, altitude_m)
    kpa = convert(value, _unit("barometer_unit", unit, PressureUnit), PressureUnit.KPA)
    if not is_air(kpa):
        raise ValueError(f"barometer_value: The air is never at {kpa:.1f} kPa where cars drive. Look at the unit.")
    return air_around(kpa, None, altitude_m)


def ambient_kpa(ambient: Ambient) -> float:
    """The pressure of that air in kPa absolute. Raises as air_of."""
    return air_of(ambient).kpa


def si_of(kind: KindOfReading, value: float, unit: str, basis: str | None, ambient: Ambient) -> Taken:
    """Turn one reading to SI. Raises ValueError("field: sentence") where figures, unit and basis make no sense."""
    if kind.quantity == "free":
        return Taken(value, None)
    if kind.quantity == "pressure":
        return _pressure(kind, value, unit, basis, ambient)
    si = value if kind.quantity == "percent" else to_si(value, _unit("unit", unit, _UNIT_OF[kind.quantity]))
    if kind.quantity == "percent" and unit != "%":
        raise ValueError(f"unit: {kind.label} is read in %, not in {unit}.")
    low, high = _BELIEVABLE[kind.quantity]
    if not low <= si <= high:
        raise ValueError(f"value: {value:g} {unit} can't be right for {kind.label.lower()}. Look at the figure.")
    return Taken(si, None)


def unit_in_si(kind: KindOfReading, unit: str) -> float:
    """How much one of `unit` is in SI as this kind is kept (kPa for a pressure); 1 for percent and a free kind.

    Raises UnknownUnit. Meant for a unit that si_of has taken.
    """
    if kind.quantity in {"free", "percent"}:
        return 1.0
    if kind.quantity == "pressure":
        return convert(1.0, unit_of(unit, PressureUnit), PressureUnit.KPA)
    return unit_of(unit, _UNIT_OF[kind.quantity]).si_per_unit


def widest_spread(kind: KindOfReading) -> float:
    """How far a healthy reading can lie from the usual, at most (SI as this kind is kept): half of all it can be."""
    if kind.quantity == "free":
        return math.inf
    low, high = _PRESSURE_KPA if kind.quantity == "pressure" else _BELIEVABLE[kind.quantity]
    return (high - low) / 2


def _pressure(kind: KindOfReading, value: float, unit: str, basis: str | None, ambient: Ambient) -> Taken:
    if basis is None:
        raise ValueError("basis: Say whether the gauge shows vacuum, boost or absolute pressure.")
    if basis not in kind.bases:
        meant = {"vacuum": "vacuum", "gauge": "boost", "absolute": "absolute pressure"}
        raise ValueError(f"basis: {kind.label} is read as {' or '.join(meant[b] for b in kind.bases)}.")
    pressure_unit = _unit("unit", unit, PressureUnit)
    air = ambient_kpa(ambient)
    try:
        kpa = to_absolute_kpa(value, pressure_unit, Basis(basis), air)
    except ValueError as error:
        said = str(error)
        raise ValueError(f"value: {said[0].upper()}{said[1:]}.") from None
    low, high = _PRESSURE_KPA
    if not low <= kpa <= high or (basis != "absolute" and value < 0):
        raise ValueError(f"value: {value:g} {unit} can't be right for {kind.label.lower()}. Look at the unit.")
    return Taken(kpa, air)


def _unit(field: str, key: str | None, kind: type[U]) -> U:
    if key is None:
        raise ValueError(f"{field}: Say which unit.")
    try:
        return unit_of(key, kind)
    except UnknownUnit:
        raise ValueError(f"{field}: {key} is no unit this program knows.") from None
    except UnitMismatch:
        raise ValueError(f"{field}: {key} does not measure {_MEASURES[kind]}.") from None
