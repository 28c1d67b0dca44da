"""How a figure kept in SI is written again: in the unit and on the basis someone reads it in."""

from dataclasses import dataclass, replace
from decimal import Decimal

from app.airpath.readings import CONDITION_LABEL, READINGS, Condition, ReadingKind
from app.records.si import unit_in_si
from app.workings.pressure import Basis, shown_as
from app.workings.units import PressureUnit, UnknownUnit, unit_named, unit_of

_SPACE = "\N{NO-BREAK SPACE}"
_MINUS = "\N{MINUS SIGN}"

#: Decimals a gauge of that unit can be read to (common practice, no source); other units keep what was typed.
PLACES = {
    "inHg": 1,
    "kPa": 1,
    "mmHg": 0,
    "bar": 2,
    "mbar": 0,
    "psi": 1,
    "inH2O": 1,
    "s": 1,
    "ms": 0,
    "%": 1,
    "g/s": 1,
    "kg/h": 0,
    "lb/min": 2,
}


@dataclass(frozen=True, slots=True)
class Scale:
    """One way to show a kind's figures: unit, basis (None: not a pressure) and, for a pressure, the air around it."""

    what: ReadingKind
    unit: str
    basis: str | None = None
    ambient_kpa: float | None = None

    def shown(self, si: float) -> float:
        """A figure kept in SI, as it reads on this scale.

        A vacuum of air that is above the ambient pressure (a car carried up a mountain on paper) comes out negative.
        """
        if self.basis is None or self.ambient_kpa is None:
            return si / self.one
        unit = unit_of(self.unit, PressureUnit)
        if self.basis == "vacuum":
            return -shown_as(si, unit, Basis.GAUGE, self.ambient_kpa)
        return shown_as(si, unit, Basis(self.basis), self.ambient_kpa)

    def border(self, si: float) -> float:
        """A limit worked out in SI, as it reads on this scale; of a pressure none lies below a perfect vacuum."""
        return self.shown(max(si, 0.0) if self.basis else si)

    def at(self, ambient_kpa: float) -> "Scale":
        """The same scale with other air around the car (kPa absolute)."""
        return replace(self, ambient_kpa=ambient_kpa)

    @property
    def one(self) -> float:
        """How much one of the unit is in SI: what a difference is divided by."""
        return unit_in_si(READINGS[self.what], self.unit)

    @property
    def unit_label(self) -> str:
        """The unit as printed."""
        try:
            return unit_named(self.unit).label
        except UnknownUnit:
            return self.unit

    def figure(self, value: float) -> str:
        """A figure of this scale with as many decimals as its gauge can be read to.

        What SI adds to a figure half way between two must not tip it one way here and the other way on a phone.
        """
        places = PLACES.get(self.unit)
        return written(round(value, 9), decimals(round(value, 2)) if places is None else places)

    def spread(self, value: float) -> str:
        """A spread of this scale: at least one digit that is not nought."""
        text = self.figure(value)
        return text if value == 0 or text.strip("0.") else written(value, decimals(float(f"{value:.1g}")))


def decimals(value: float) -> int:
    """How many decimals a figure was typed with, trailing noughts aside."""
    exponent = Decimal(repr(value)).normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def written(value: float, places: int) -> str:
    """A figure with this many decimals, a real minus sign and spaces between thousands."""
    text = f"{value:,.{places}f}"
    if not text.strip("-0.,"):
        text = text.removeprefix("-")
    return text.replace(",", _SPACE).replace("-", _MINUS)


def label_of_series(what: ReadingKind, condition: Condition, free_name: str | None = None) -> str:
    """What a series of readings is called: the condition is said only where a kind has several."""
    if what is ReadingKind.FREE:
        return free_name or READINGS[what].label
    kind = READINGS[what]
    return kind.label if len(kind.conditions) == 1 else f"{kind.label}, {CONDITION_LABEL[condition]}"
