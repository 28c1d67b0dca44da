"""Tickets: a car's list of them, reporting a fault, and the page a fault is hunted from."""

from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.doubts import meter, odometer_doubt
from app.pages.follows import TICKET
from app.pages.forms import EMPTY, Filled, Form, Posted, reasons_of
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.pages.ticket_board import the_ticket
from app.pages.ticket_card import card_of
from app.pages.ticket_starts import Start, start_of
from app.pages.which import the_car
from app.records import tickets as record
from app.records.cars import CarRow
from app.records.entry import Entry, Value
from app.records.known import Known
from app.records.logbook import RefusedError, now
from app.records.tickets import TicketRow

router = APIRouter()

PAGE = 40
_LISTED = ("what", "noticed_at", "stands", "found_at", "repaired_at", "repaired_how", "proved_at", "reopened_at")
_STANDS = {"stands": TICKET["stands"]}


@router.get("/cars/{car_id}/tickets")
def every_ticket(
    request: Request, car_id: str, number: Annotated[int, Query(alias="page", ge=1, le=100_000)] = 1
) -> Response:
    """The car's tickets, a page at a time: those not proved fixed first."""
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        found = record.tickets(db, car_id, PAGE + 1, PAGE * (number - 1))
    shown = found[:PAGE]
    known: Known = {f"ticket/{one.id}": _listed(one) for one in shown}
    more: dict[str, Any] = {"number": number, "more": len(found) > PAGE, "known": known, "follows": {"ticket": _STANDS}}
    return page(request, "tickets/list.html", car=car, tickets=shown, laid=Laid(known), **more)


def _listed(ticket: TicketRow) -> dict[str, Value]:
    return {"found": ticket.found_label} | {name: getattr(ticket, name) for name in _LISTED}


@router.get("/cars/{car_id}/tickets/new")
def new_ticket(request: Request, car_id: str, reading: str = "") -> Response:
    """The empty form; with `reading`, begun from the reading that gave the fault away."""
    with garage_of(request).read() as db:
        car, start = the_car(db, car_id), start_of(db, car_id, reading)
    return _form_page(request, EMPTY, _About(car, new_id(), start))


@router.post("/cars/{car_id}/tickets/new")
def report(request: Request, car_id: str, form: Form) -> Response:
    """Open the ticket, with the sign its reading gives, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        car, start = the_car(db, car_id), start_of(db, car_id, form["reading"])
        asks = _doubt(db, car, form)
    ticket = form.record()
    reasons: dict[str, str] = {}
    if not asks:
        try:
            garage.take_all(_reported(form, car_id, ticket, start))
        except RefusedError as refused:
            reasons = reasons_of(refused.outcomes[:1])
        else:
            return see(f"/tickets/{ticket}")
    return _form_page(request, form.again(reasons, asks), _About(car, ticket, start), status=422)


@router.get("/tickets/{ticket_id}")
def show(request: Request, ticket_id: str) -> Response:
    """The ticket: the next question, the suspects, the checks, every sign."""
    return ticket_page(request, ticket_id)


@router.get("/tickets/{ticket_id}/edit")
def edit(request: Request, ticket_id: str) -> Response:
    """What was noticed, and when, to be put right."""
    with garage_of(request).read() as db:
        ticket, car = the_ticket(db, ticket_id)
    return _form_page(request, EMPTY, _About(car, ticket_id, ticket=ticket))


@router.post("/tickets/{ticket_id}/edit")
def put_right(request: Request, ticket_id: str, form: Form) -> Response:
    """Take the corrected fields, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        ticket, car = the_ticket(db, ticket_id)
        asks = {} if form["noticed_odometer"] == _plain(ticket.noticed_odometer) else _doubt(db, car, form)
    reasons: dict[str, str] = {}
    if not asks:
        outcome = garage.take(form.entry("ticket", ticket_id, only=_REPORTED))
        if outcome.outcome != "refused":
            return see(f"/tickets/{ticket_id}")
        reasons = dict(outcome.reasons)
    return _form_page(request, form.again(reasons, asks), _About(car, ticket_id, ticket=ticket), status=422)


def ticket_page(
    request: Request, ticket_id: str, form: Filled = EMPTY, *, wrong_sign: str = "", status: int = 200
) -> Response:
    """The ticket's page; with a form that was refused, shown again where it stands (`wrong_sign`: in that sign)."""
    with garage_of(request).read() as db:
        ticket, car = the_ticket(db, ticket_id)
        context = card_of(db, ticket, car, form, wrong_sign)
    return page(request, "tickets/show.html", status=status, **context)


_REPORTED = ("what", "noticed_at", "noticed_odometer", "note")


def _reported(form: Posted, car: str, ticket: str, start: Start | None) -> list[Entry]:
    entries = [form.entry("ticket", ticket, {"car": car}, only=_REPORTED)]
    if start:
        sign = {
            "ticket": ticket,
            "sign": start.sign,
            "outcome": start.outcome,
            "reading": start.reading.id,
            "noted_at": start.reading.taken_at,
        }
        entries.append(form.make("sign", f"{ticket}.{start.sign}", sign))
    return entries


def _doubt(db: Connection, car: CarRow, form: Posted) -> dict[str, str]:
    doubt = odometer_doubt(db, car, form["noticed_odometer"], form["noticed_at"])
    return {"odometer": doubt} if doubt and "odometer" not in form.sure else {}


def _plain(figure: float | None) -> str:
    return "" if figure is None else f"{figure:.10g}"


@dataclass(frozen=True, slots=True)
class _About:
    """What a form is about: a new ticket of a car, perhaps begun from a reading, or one to be put right."""

    car: CarRow
    record: str
    start: Start | None = None
    ticket: TicketRow | None = None

    @property
    def what(self) -> str:
        """What stands in the first box."""
        if self.ticket:
            return self.ticket.what
        return self.start.what if self.start else ""

    @property
    def noticed_at(self) -> str:
        """The moment that stands in the second."""
        if self.ticket:
            return self.ticket.noticed_at
        return self.start.noticed_at if self.start else now()


def _form_page(request: Request, form: Filled, about: _About, *, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        read_before = meter(db, about.car.id, about.car.distance_unit)
    return page(request, "tickets/new.html", status=status, form=form, about=about, known={}, meter=read_before)
