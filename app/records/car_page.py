"""Everything the page of one car says, put together from what each part of its record knows."""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.boost_targets import target_id
from app.records.car_known import car_itself, filled, job_known, own_known, recheck_known, stopgap_known, work_known
from app.records.cars import CarRow
from app.records.entry import Value
from app.records.events import EventRow, coming_events
from app.records.findings import FindingRow, to_act_on
from app.records.fitness import Pieces
from app.records.jobs import JobRow, unfinished_jobs
from app.records.known import Known, known
from app.records.loose_ends import LooseEnd, of_car
from app.records.open_tickets import TicketLine, just_proved, open_tickets
from app.records.readings import Series, every_series
from app.records.rechecks import RecheckRow, due
from app.records.stopgaps import StopgapLine, stopgaps_of


@dataclass(frozen=True, slots=True)
class CarPage:
    """One car: fit to run or not and why, how it stands, and the records behind it as the phone needs them.

    `tickets`: those not proved, and a few just proved, which show only once a phone has reopened them. `jobs` are
    those not done with: open, or closed with something carried over. Rows come in an order that follows
    from the record alone, newest first, so that a phone can keep it.
    """

    car: CarRow
    fit: bool
    event: EventRow | None
    tickets: list[TicketLine]
    stopgaps: list[StopgapLine]
    rechecks: list[RecheckRow]
    findings: list[FindingRow]
    readings: list[Series]
    jobs: list[JobRow]
    known: Known

    @property
    def quiet(self) -> bool:
        """Whether there is nothing at all to know before the car runs."""
        return self.fit and not self.stopgaps and all(one.state == "later" for one in self.rechecks)


def car_page(connection: Connection, car: CarRow) -> CarPage:
    """The page of a car, in a number of queries that does not grow with its record."""
    pieces = Pieces(
        of_car(connection, car.id),
        stopgaps_of(connection, car.id),
        due(connection, car.id),
        open_tickets(connection, car),
        to_act_on(connection, car.id),
    )
    events, jobs = coming_events(connection, car.id), unfinished_jobs(connection, car.id)
    found = CarPage(
        car,
        pieces.fit,
        events[0] if events else None,
        sorted([*pieces.tickets, *just_proved(connection, car)], key=lambda one: one.noticed_at, reverse=True),
        sorted(pieces.stopgaps, key=lambda gap: gap.fitted_at, reverse=True),
        sorted(pieces.rechecks, key=lambda one: one.since_at, reverse=True),
        sorted(pieces.findings, key=lambda one: one.seen_at, reverse=True),
        every_series(connection, car.id),
        jobs,
        {
            **car_itself(connection, car),
            **work_known(connection, car.id),
            **own_known(connection, car.id),
            **known(connection, "boost_target", id=target_id(car.id)),
        },
    )
    _make_known(found, events, pieces.loose_ends)
    return found


def _make_known(page: CarPage, events: Iterable[EventRow], ends: Iterable[LooseEnd]) -> None:
    known = page.known
    if page.event:
        known[f"car/{page.car.id}"] |= {"event": page.event.name, "event_day": page.event.on_day}
    for event in events:
        known[f"event/{event.id}"] = {"car": event.car, "name": event.name, "on_day": event.on_day}
    for ticket in page.tickets:
        known[f"ticket/{ticket.id}"] = _ticket(page.car.id, ticket)
    for gap in page.stopgaps:
        known[f"stopgap/{gap.id}"] = stopgap_known(gap)
    for one in page.rechecks:
        known[f"recheck/{one.id}"] = recheck_known(one, page.car.reads)
    for seen in page.findings:
        names = ("car", "what", "weight", "seen_at", "line", "component", "place")
        known[f"finding/{seen.id}"] = filled((name, getattr(seen, name)) for name in names)
    place = {ref: n for n, ref in enumerate(known)}
    loose: dict[str, list[str]] = {}
    for end in sorted(ends, key=lambda end: place.get(f"joint/{end.joint}", 0)):
        loose.setdefault(end.job, []).append(str(known[f"line/{end.line}"]["short"]))
    for job in page.jobs:
        known[f"job/{job.id}"] = job_known(job, loose.get(job.id, []))


def _ticket(car: str, ticket: TicketLine) -> dict[str, Value]:
    follows: dict[str, Value] = {}
    if ticket.stands == "open":
        follows = {"leading": ticket.leading, "probability": ticket.probability}
    elif not ticket.steps["found_suspect"]:
        follows = {"found": ticket.leading}
    fields: dict[str, Value] = {
        "car": car,
        "what": ticket.what,
        "noticed_at": ticket.noticed_at,
        "stands": ticket.stands,
        "do_not_drive": ticket.do_not_drive,
    }
    return filled([*fields.items(), *ticket.steps.items(), *follows.items()])
