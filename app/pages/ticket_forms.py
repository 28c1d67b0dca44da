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
from app.records.entry import Value
from app.records.kinds.reading import series_of
from app.records.known import Known
from app.workings.spread import EDGE_SPREADS

#: Decimals: no gauge is read so finely, and more of them only weigh.
_FINER_THAN_READ = 6


@dataclass(frozen=True, slots=True)
class Proving:
    """A gauge that can prove a repair: in the unit and on the basis of its baseline, between `low` and `high`."""

    gauge: Gauge
    low: float
    high: float
    usual: str

    @property
    def series(self) -> str:
        """The readings that can prove it."""
        return series_of(self.gauge.what, self.gauge.condition)

    @property
    def known(self) -> dict[str, Value]:
        """The gauge as a record of a page."""
        gauge = self.gauge
        low, high = round(self.low, _FINER_THAN_READ), round(self.high, _FINER_THAN_READ)
        scale: dict[str, Value] = {"unit": gauge.unit, "basis": gauge.basis, "low": low, "high": high}
        return {"what": gauge.what, "condition": gauge.condition} | scale


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

    @property
    def known(self) -> Known:
        """What a page knows of the series by which a repair is proved."""
        return {f"proving/{one.series}": one.known for one in self.proving}

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
