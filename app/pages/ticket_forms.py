"""Forms that are the same on every ticket's page of a car: a phone keeps them once for all of its tickets.

Without scripts they have a page of their own (app.pages.ticket_proved).
"""

from collections.abc import Mapping
from dataclasses import dataclass

from app.airpath.readings import READINGS, ReadingKind
from app.pages.kept_for_good import PLACEHOLDER, kept_at, mark_of
from app.pages.release import release
from app.pages.shell import render
from app.pages.ticket_board import Gauge
from app.records.baselines import BaselineView
from app.records.cars import CarRow
from app.workings.spread import EDGE_SPREADS


@dataclass(frozen=True, slots=True)
class Proving:
    """A gauge that can prove a repair: in the unit and on the basis of its baseline, between `low` and `high`."""

    gauge: Gauge
    low: float
    high: float
    usual: str


@dataclass(frozen=True, slots=True)
class TicketForms:
    """The forms of a car's tickets."""

    car: CarRow
    proving: tuple[Proving, ...]

    @property
    def mark(self) -> str:
        """A mark of all that is in them."""
        return mark_of(release(), self.car.id, str(self.car.altitude_m), repr(self.proving))

    @property
    def address(self) -> str:
        """Where a page finds them."""
        return kept_at(self.car.id, "ticket-forms", self.mark)

    def written(self) -> str:
        """The forms, of a ticket that has no id yet."""
        return render("tickets/forms.html", {"id": PLACEHOLDER, "car": self.car, "proving": self.proving})


def forms_of(car: CarRow, own: Mapping[str, BaselineView]) -> TicketForms:
    """The forms of this car's tickets: a reading proves a repair where the car has a baseline to come back to."""
    return TicketForms(car, tuple(_proving(view) for view in own.values() if view.what is not ReadingKind.FREE))


def _proving(view: BaselineView) -> Proving:
    scale = view.scale
    ends = [scale.shown(view.usual.centre + side * EDGE_SPREADS * view.usual.spread) for side in (-1, 1)]
    gauge = Gauge(view.what, READINGS[view.what], view.condition, view.unit, view.basis)
    return Proving(gauge, min(ends), max(ends), view.figures(scale))
