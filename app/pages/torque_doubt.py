"""A torque reached, held against the joint's own figure: what the limits are, and the question when it is outside."""

from pydantic import TypeAdapter, ValidationError

from app.pages.words import torque
from app.records.fields import Number
from app.records.loose_ends import LooseEnd
from app.workings.torque import Band, tolerance_band
from app.workings.units import TorqueUnit, convert, unit_of

#: The units a wrench is read in, to choose from: (stored, shown).
UNITS = tuple((unit.value, unit.label) for unit in TorqueUnit)

_FIGURE: TypeAdapter[float] = TypeAdapter(Number)


def limit_of(end: LooseEnd) -> str | None:
    """The joint's figure with its limits and where it is from, in one sentence; None where it has no figure."""
    band = _band(end)
    if band is None or end.torque_unit is None:
        return None
    low, high = (torque(edge, end.torque_unit) for edge in (band.low, band.high))
    source = f" Figure from: {end.torque_source}." if end.torque_source else ""
    return f"{low} to {high}.{source}"


def torque_doubt(end: LooseEnd, value_text: str, unit_text: str) -> str | None:
    """The question to ask about a torque as typed; None where it is within limits, or there is nothing to hold it to.

    The limits are the joint's own tolerance where it has one, else what a wrench in calibration may be off. What can't
    be read as a figure is left for the door to refuse.
    """
    band = _band(end)
    if band is None or end.torque_value is None or end.torque_unit is None:
        return None
    try:
        reached = _FIGURE.validate_python(value_text.strip())
        here = convert(reached, unit_of(unit_text, TorqueUnit), unit_of(end.torque_unit, TorqueUnit))
    except (ValidationError, ValueError):
        return None
    if band.holds(here):
        return None
    side = "more" if here > band.high else "less"
    low, high = (torque(edge, end.torque_unit) for edge in (band.low, band.high))
    why = "its own tolerance" if end.torque_tolerance is not None else "the 4 % a wrench may be off"
    return (
        f"{torque(reached, unit_text)} is {side} than this joint's {torque(end.torque_value, end.torque_unit)} allows "
        f"({low} to {high}, with {why}). Keep it as it is?"
    )


def _band(end: LooseEnd) -> Band | None:
    if end.torque_value is None or end.torque_unit is None:
        return None
    if end.torque_tolerance is None:
        return tolerance_band(end.torque_value, None)
    return Band(end.torque_value - end.torque_tolerance, end.torque_value + end.torque_tolerance)
