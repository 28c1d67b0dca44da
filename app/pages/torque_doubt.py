"""A torque reached, held against the joint's own figure: what the limits are, and the question when it is outside."""

from dataclasses import dataclass
from typing import Protocol

from pydantic import TypeAdapter, ValidationError

from app.pages.words import number, torque
from app.records.fields import Number
from app.workings.torque import Band, tolerance_band
from app.workings.units import TorqueUnit, convert, unit_of

#: The units a wrench is read in, to choose from.
UNITS = tuple(TorqueUnit)

#: N·m, far less than a wrench can tell.
_ROUNDED = 0.0005

_FIGURE: TypeAdapter[float] = TypeAdapter(Number)


class Tightened(Protocol):
    """A joint with the torque its maker gives, where that is on record."""

    @property
    def torque_value(self) -> float | None:
        """The figure."""

    @property
    def torque_tolerance(self) -> float | None:
        """How far either side of it is allowed."""

    @property
    def torque_unit(self) -> str | None:
        """The unit of both."""

    @property
    def torque_source(self) -> str | None:
        """Who says so."""


@dataclass(frozen=True, slots=True)
class Ask:
    """What a torque is held to: limits in N·m, the joint's own figure in words, and the limits in words."""

    below: float
    above: float
    figure: str
    limits: str


def ask_of(joint: Tightened) -> Ask | None:
    """What a torque reached on this joint is held to; None where it has no figure.

    The limits are the joint's own tolerance where it has one, else what a wrench in calibration may be off.
    """
    if joint.torque_value is None or joint.torque_unit is None:
        return None
    unit = unit_of(joint.torque_unit, TorqueUnit)
    band = _band(joint.torque_value, joint.torque_tolerance)
    low, high = (torque(edge, unit) for edge in (band.low, band.high))
    source = f" Figure from: {joint.torque_source}." if joint.torque_source else ""
    why = "its own tolerance" if joint.torque_tolerance is not None else "the 4 % a wrench may be off"
    below, above = (convert(edge, unit, TorqueUnit.NEWTON_METRE) for edge in (band.low, band.high))
    # A figure typed right at a limit is not outside it because a conversion rounds.
    allowed = f" ± {number(joint.torque_tolerance)}" if joint.torque_tolerance else ""
    figure = f"{torque(joint.torque_value, unit)}{allowed}"
    return Ask(below * (1 - 1e-9), above * (1 + 1e-9), figure, f"{low} to {high}, with {why}.{source}")


def torque_doubt(joint: Tightened, value_text: str, unit_text: str) -> str | None:
    """The question to ask about a torque as typed; None where it is within limits, or there is nothing to hold it to.

    What can't be read as a figure is left for the door to refuse.
    """
    ask = ask_of(joint)
    if ask is None:
        return None
    try:
        unit = unit_of(unit_text, TorqueUnit)
        reached = convert(_FIGURE.validate_python(value_text.strip()), unit, TorqueUnit.NEWTON_METRE)
    except (ValidationError, ValueError):
        return None
    if ask.below <= reached <= ask.above:
        return None
    return f"{value_text.strip()} {unit.label} is outside what this joint allows: {ask.limits} Keep it as it is?"


def _band(value: float, tolerance: float | None) -> Band:
    return tolerance_band(value, None) if tolerance is None else Band(value - tolerance, value + tolerance)
