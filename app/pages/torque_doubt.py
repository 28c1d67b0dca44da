"""A torque reached, held against its own figure and the wrench: what the limits are, and the question when outside."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Protocol

from pydantic import TypeAdapter, ValidationError

from app.pages.forms import Posted
from app.pages.words import number, torque, wrench_range
from app.records.fields import Number
from app.records.wrenches import WrenchRow
from app.workings.torque import Band, permissible_deviation, tolerance_band
from app.workings.units import TorqueUnit, convert, unit_of

#: The units a wrench is read in, to choose from.
UNITS = tuple(TorqueUnit)

#: N·m, far less than a wrench can tell.
_ROUNDED = 0.0005

#: A wrench whose largest setting is not above this may be off by more (ISO 6789:2003 as quoted in a maker's manual).
_SMALL_NM = 10.0

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
class NoTorque:
    """What no torque is on record of."""

    torque_value: float | None = None
    torque_tolerance: float | None = None
    torque_unit: str | None = None
    torque_source: str | None = None


NO_TORQUE = NoTorque()


@dataclass(frozen=True, slots=True)
class Ask:
    """What a torque is held to: limits in N·m, the own figure in words, and the limits in words.

    `small`: the same with a wrench that sets 10 N·m at most, where that makes a difference.
    """

    below: float
    above: float
    figure: str
    limits: str
    small: "Ask | None" = None


def ask_of(joint: Tightened) -> Ask | None:
    """What a torque reached on this joint or fastener group is held to; None where it has no figure.

    The limits are its own tolerance where it has one, else what a wrench in calibration may be off: more, by
    ISO 6789, of a wrench that sets 10 N·m at most.
    """
    wide = _ask(joint, None)
    if wide is None or joint.torque_tolerance is not None:
        return wide
    return replace(wide, small=_ask(joint, _SMALL_NM))


def _ask(joint: Tightened, tool_max_nm: float | None) -> Ask | None:
    if joint.torque_value is None or joint.torque_unit is None:
        return None
    unit = unit_of(joint.torque_unit, TorqueUnit)
    band = _band(joint.torque_value, joint.torque_tolerance, tool_max_nm)
    low, high = (torque(edge, unit) for edge in (band.low, band.high))
    source = f" Figure from: {joint.torque_source}." if joint.torque_source else ""
    off = f"the {permissible_deviation(tool_max_nm) * 100:.0f} % a wrench may be off"
    why = "its own tolerance" if joint.torque_tolerance is not None else off
    below, above = (convert(edge, unit, TorqueUnit.NEWTON_METRE) for edge in (band.low, band.high))
    # A figure typed right at a limit is not outside it because a conversion rounds.
    allowed = f" ± {number(joint.torque_tolerance)}" if joint.torque_tolerance else ""
    figure = f"{torque(joint.torque_value, unit)}{allowed}"
    return Ask(below * (1 - 1e-9), above * (1 + 1e-9), figure, f"{low} to {high}, with {why}.{source}")


def torque_doubt(
    joint: Tightened, value_text: str, unit_text: str, wrench: WrenchRow | None = None, what: str = "joint"
) -> str | None:
    """The question to ask about a torque as typed; None where it is within limits, or there is nothing to hold it to.

    What can't be read as a figure is left for the door to refuse. `what`: what the torque is of, as the question
    names it.
    """
    ask = ask_of(joint)
    if ask is not None and ask.small and wrench is not None and wrench.largest_nm <= _SMALL_NM:
        ask = ask.small
    typed = _typed(value_text, unit_text)
    if ask is None or typed is None or ask.below <= typed[0] <= ask.above:
        return None
    return f"{value_text.strip()} {typed[1].label} is outside what this {what} allows: {ask.limits} Keep it as it is?"


def range_doubt(wrench: WrenchRow | None, value_text: str, unit_text: str) -> str | None:
    """The question to ask about a torque that its wrench can't be set to; None where it can, or there is no wrench."""
    typed = _typed(value_text, unit_text)
    if wrench is None or typed is None or wrench.reaches(typed[0]):
        return None
    said = f"{value_text.strip()} {typed[1].label}"
    return f"{said} is beyond what this wrench sets: {wrench_range(wrench)}. Keep it as it is?"


def doubts_of(joint: Tightened, form: Posted, wrenches: Iterable[WrenchRow], what: str = "joint") -> dict[str, str]:
    """The questions a check's form asks back that were not answered yet: key -> sentence."""
    wrench = next((one for one in wrenches if one.id == form["wrench"]), None)
    value, unit = form["torque_value"], form["torque_unit"]
    asks = {"torque": torque_doubt(joint, value, unit, wrench, what), "wrench": range_doubt(wrench, value, unit)}
    return {key: said for key, said in asks.items() if said and key not in form.sure}


def _typed(value_text: str, unit_text: str) -> tuple[float, TorqueUnit] | None:
    """A torque as typed, in N·m, and its unit; None for what is no figure."""
    try:
        unit = unit_of(unit_text, TorqueUnit)
        return convert(_FIGURE.validate_python(value_text.strip()), unit, TorqueUnit.NEWTON_METRE), unit
    except (ValidationError, ValueError):
        return None


def _band(value: float, tolerance: float | None, tool_max_nm: float | None) -> Band:
    return tolerance_band(value, tool_max_nm) if tolerance is None else Band(value - tolerance, value + tolerance)
