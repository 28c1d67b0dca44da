"""What a pressure reading means: a gauge tells the difference from the air around it, an absolute figure does not.

The same manifold pressure shows less vacuum up a mountain than by the sea, so readings are compared as
kPa absolute and only shown as gauge or vacuum.
"""

from enum import StrEnum
from math import isfinite

from app.workings.units import PressureUnit, convert

_ROUNDING_KPA = 1e-9  # what converting there and back may lose; a millionth of what any gauge can show


class Basis(StrEnum):
    """What a pressure figure is counted from."""

    GAUGE = "gauge"
    VACUUM = "vacuum"
    ABSOLUTE = "absolute"


class ImpossiblePressure(ValueError):
    """No air can be at that pressure; the message is a sentence that names the figures."""


def to_absolute_kpa(value: float, unit: PressureUnit, basis: Basis, ambient_kpa: float) -> float:
    """Turn a reading into kPa absolute.

    Gauge counts up from the ambient pressure (below it is negative), vacuum counts down from it and is
    never negative, absolute ignores it. `ambient_kpa` is the station pressure, kPa absolute, never a figure
    reduced to sea level. By definition: absolute = ambient + gauge = ambient - vacuum.

    Raises ImpossiblePressure below a perfect vacuum, for a negative vacuum, for an ambient pressure that is
    not above zero, and for what is not a finite number.
    """
    _require_air(ambient_kpa)
    _require_number(value)
    kpa = convert(value, unit, PressureUnit.KPA)
    if basis is Basis.VACUUM and value < 0:
        raise ImpossiblePressure(f"a vacuum is written as a positive number, and {value:g} {unit.label} is below zero")
    absolute = {Basis.GAUGE: ambient_kpa + kpa, Basis.VACUUM: ambient_kpa - kpa, Basis.ABSOLUTE: kpa}[basis]
    if absolute < -_ROUNDING_KPA:
        raise ImpossiblePressure(_too_low(f"{value:g} {unit.label}", basis, ambient_kpa))
    return max(absolute, 0.0)


def shown_as(absolute_kpa: float, unit: PressureUnit, basis: Basis, ambient_kpa: float) -> float:
    """Show a pressure of `absolute_kpa` the way a gauge would with `ambient_kpa` around it (both kPa absolute).

    The way back of `to_absolute_kpa`. Below ambient, a gauge figure is negative.

    Raises ImpossiblePressure where it does, and for a vacuum of what is above ambient.
    """
    _require_air(ambient_kpa)
    _require_number(absolute_kpa)
    if absolute_kpa < 0:
        raise ImpossiblePressure(_too_low(f"{absolute_kpa:g} kPa", Basis.ABSOLUTE, ambient_kpa))
    if basis is Basis.ABSOLUTE:
        return convert(absolute_kpa, PressureUnit.KPA, unit)
    if basis is Basis.GAUGE:
        return convert(absolute_kpa - ambient_kpa, PressureUnit.KPA, unit)
    vacuum = ambient_kpa - absolute_kpa
    if vacuum < -_ROUNDING_KPA:
        raise ImpossiblePressure(
            f"{absolute_kpa:.1f} kPa absolute is above the {ambient_kpa:.1f} kPa of air around the car, "
            "so it is boost and not vacuum"
        )
    return convert(max(vacuum, 0.0), PressureUnit.KPA, unit)


def at_ambient(value: float, unit: PressureUnit, basis: Basis, read_at_kpa: float, shown_at_kpa: float) -> float:
    """Show a reading taken with `read_at_kpa` around the car as the same air would read at `shown_at_kpa`.

    Both ambient pressures in kPa absolute. 20 inHg of vacuum by the sea is the same manifold pressure as
    15 inHg at 1524 m. An absolute figure does not change.

    Raises ImpossiblePressure where `to_absolute_kpa` and `shown_as` do.
    """
    return shown_as(to_absolute_kpa(value, unit, basis, read_at_kpa), unit, basis, shown_at_kpa)


def _require_number(value: float) -> None:
    if not isfinite(value):
        raise ImpossiblePressure(f"a pressure has to be a number, and {value} is not one")


def _require_air(ambient_kpa: float) -> None:
    _require_number(ambient_kpa)
    if ambient_kpa <= 0:
        raise ImpossiblePressure(f"the air around the car cannot be at {ambient_kpa:g} kPa absolute")


def _too_low(figure: str, basis: Basis, ambient_kpa: float) -> str:
    air = f"the {ambient_kpa:.1f} kPa of air around the car allows"
    if basis is Basis.VACUUM:
        return f"a vacuum of {figure} is deeper than {air}"
    if basis is Basis.GAUGE:
        return f"a gauge reading of {figure} is lower than {air}"
    return f"an absolute pressure of {figure} is below a perfect vacuum"
