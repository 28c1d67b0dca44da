"""The boxes of a working as typed, and its answer: what every page under /workings is answered with."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from pydantic import TypeAdapter, ValidationError

from app.records.fields import Number
from app.workings.units import TorqueUnit

_FIGURE: TypeAdapter[float] = TypeAdapter(Number)

NO_NUMBER = "Write a number, such as 5 or 5.5."
NOT_ABOVE = "This has to be above zero."
BEYOND = "Nobody means a figure as large as this."
#: No torque, length or width on a car comes near it.
LARGEST = 1e6


@dataclass(frozen=True, slots=True)
class Answer:
    """What a working says, by the name of its place on the page, and what is wrong, by the name of the box."""

    says: Mapping[str, str] = field(default_factory=dict)
    wrong: Mapping[str, str] = field(default_factory=dict)


class Boxes:
    """The boxes of a working as typed; collects what is wrong with them."""

    def __init__(self, typed: Mapping[str, str]) -> None:
        """With what stands in each."""
        self._typed = typed
        self.wrong: dict[str, str] = {}

    def text(self, name: str) -> str:
        """What stands in a box, without space around it."""
        return self._typed.get(name, "").strip()

    def figure(self, name: str, *, zero: bool = False) -> float | None:
        """The figure in a box; None where there is none, or it is wrong."""
        text = self.text(name)
        if not text:
            return None
        try:
            value = _FIGURE.validate_python(text)
        except ValidationError:
            self.wrong[name] = NO_NUMBER
            return None
        if value < 0 or (value == 0 and not zero):
            self.wrong[name] = NOT_ABOVE
        elif value > LARGEST:
            self.wrong[name] = BEYOND
        else:
            return value
        return None

    def unit(self) -> TorqueUnit:
        """The unit chosen; N·m for none, or one there is not."""
        return next((unit for unit in TorqueUnit if unit.value == self.text("unit")), TorqueUnit.NEWTON_METRE)
