"""Whether a car is fit for one event: what its record answers by itself, and what was said by hand."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from sqlalchemy import Connection

from app.records.car_known import filled
from app.records.car_page import CarPage, car_page
from app.records.cars import CarRow
from app.records.changed_since import Changed, changed_since
from app.records.entry import Value
from app.records.events import EventRow
from app.records.fields import moment_text
from app.records.known import Known, known
from app.records.musts import Answered, answered
from app.records.stopgaps import StopgapLine
from app.records.wheels import WheelGroup, checks_known, wheel_groups


@dataclass(frozen=True, slots=True)
class FitToRun:
    """One event: the car as its own page shows it, the wheels, the own list, and what changed since it was signed.

    `known`: the records behind it, as a phone needs them.
    """

    event: EventRow
    page: CarPage
    wheels: Sequence[WheelGroup]
    answers: Sequence[Answered]
    changed: Sequence[Changed]
    known: Known

    @property
    def fit(self) -> bool:
        """Whether nothing is open: not in the record, not at the wheels, not on the own list."""
        return self.page.fit and all(one.settled for one in self.wheels) and all(one.good for one in self.answers)

    @property
    def stopping(self) -> list[StopgapLine]:
        """The stopgaps that stand in the way."""
        return [gap for gap in self.page.stopgaps if gap.past_limit or gap.not_to_be_driven_on]


def fit_to_run(db: Connection, event: EventRow, car: CarRow) -> FitToRun:
    """How a car stands before an event. The number of queries does not grow with its record."""
    page, wheels = car_page(db, car), wheel_groups(db, car.id)
    said = answered(db, event.id, car.id, event.kind, wheels=bool(wheels))
    changed = changed_since(db, event, day_after(event.on_day)) if event.signed_at else []
    found: Known = {**page.known, f"event/{event.id}": _event(event)}
    found |= {f"fastener/{one.id}": _wheels(car.id, one) for one in wheels}
    found |= {f"must/{one.id}": _must(event, one) for one in said}
    found |= known(db, "looked_at", event=event.id) | known(db, "drive", id=driven_id(event.id))
    found |= checks_known(db, event.id, wheels)
    return FitToRun(event, page, wheels, said, changed, found)


def driven_id(event: str) -> str:
    """The id of the drive that says what an event came to: one for each event, whoever logs it."""
    return f"{event}.driven"


def day_after(day: str) -> str:
    """The moment at which a day is over, on this machine's clock."""
    return moment_text(datetime.combine(date.fromisoformat(day) + timedelta(days=1), time()).astimezone())


def _event(event: EventRow) -> dict[str, Value]:
    names = EventRow.__slots__
    return filled((name, getattr(event, name)) for name in names if name != "id")


def _must(event: EventRow, one: Answered) -> dict[str, Value]:
    asked = "yes" if one.before in {"any", event.kind} else None
    return filled([("car", event.car), ("before", one.before), ("what", one.what), ("asked", asked)])


def _wheels(car: str, one: WheelGroup) -> dict[str, Value]:
    fields: dict[str, Value] = {
        "car": car,
        "name": one.name,
        "of": "wheel",
        "settled_before": "yes" if one.settled else None,
        "settled": "yes" if one.settled else None,
        "jobs_until": one.last_job_at or "1900",
    }
    return filled(fields.items())
