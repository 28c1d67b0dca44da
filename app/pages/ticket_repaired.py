"""Repaired: for good, or for now by a stopgap that has a limit and waits for its permanent part."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.airpath.words import MATERIAL_LABEL, LineState
from app.pages.doubts import odometer_doubt
from app.pages.forms import EMPTY, Filled, Form, Posted, reasons_of
from app.pages.shell import garage_of, new_id, page, see
from app.pages.ticket_board import the_ticket
from app.pages.ticket_moments import not_before
from app.pages.words import local
from app.records.candidates import Thing, things_of
from app.records.cars import CarRow
from app.records.entry import Entry, Value
from app.records.logbook import RefusedError
from app.records.ticket_ends import open_stopgaps_on
from app.records.tickets import TicketRow

router = APIRouter()

_NEW_PART = ("material", "part")
_STOPGAP = (
    "used",
    "fitted_odometer",
    "limit_distance",
    "limit_days",
    "limit_heat_cycles",
    "part_name",
    "part_bore_mm",
    "part_length_mm",
    "part_material",
    "part_stands",
    "ordered_on",
    "expected_on",
)


@dataclass(frozen=True, slots=True)
class _Repair:
    """What is being repaired: the ticket, its car, the line or component at fault if it still is on the car."""

    ticket: TicketRow
    car: CarRow
    thing: Thing | None
    stopgaps: list[str]


@router.get("/tickets/{ticket_id}/repaired")
def repaired(request: Request, ticket_id: str) -> Response:
    """Two forms: for good, and for now."""
    found = _repair(request, ticket_id)
    if found.ticket.stands not in {"found", "repaired"}:
        return see(f"/tickets/{ticket_id}" + ("/found" if found.ticket.stands == "open" else ""))
    return _page(request, found, EMPTY)


@router.post("/tickets/{ticket_id}/repaired")
def repair(request: Request, ticket_id: str, form: Form) -> Response:
    """Take the repair, and what follows for the line and its stopgaps, in one act; or show the form again."""
    found = _repair(request, ticket_id)
    if found.ticket.stands not in {"found", "repaired"}:
        return see(f"/tickets/{ticket_id}")
    garage = garage_of(request)
    for_now = form["repaired_how"] == "stopgap"
    box = "fitted_at" if for_now else "repaired_at"
    at, reasons = not_before(form[box], box, _since(found.ticket))
    asks = {}
    is_fitted = for_now or form["state"] == LineState.REPLACED
    if is_fitted and "odometer" not in form.sure:
        with garage.read() as db:
            doubt = odometer_doubt(db, found.car, form["fitted_odometer"], form[box])
        asks = {"odometer": doubt} if doubt else {}
    if not reasons and not asks:
        try:
            garage.take_all(_for_now(form, found, at) if for_now else _for_good(form, found, at))
        except RefusedError as refused:
            reasons = reasons_of(refused.outcomes)
        else:
            return see(f"/tickets/{ticket_id}")
    return _page(request, found, form.again(reasons, asks), status=422)


def _repair(request: Request, ticket_id: str) -> _Repair:
    with garage_of(request).read() as db:
        ticket, car = the_ticket(db, ticket_id)
        at_fault = ticket.found_line or ticket.found_component
        thing = next((one for one in things_of(db, car.id) if one.id == at_fault), None)
        return _Repair(ticket, car, thing, open_stopgaps_on(db, thing.id) if thing else [])


def _since(ticket: TicketRow) -> tuple[str, str]:
    return ticket.found_at or ticket.noticed_at, "it was found"


def _for_good(form: Posted, found: _Repair, at: str) -> Iterator[Entry]:
    ticket, thing = found.ticket, found.thing
    step: dict[str, Value] = {"repaired_at": at, "repaired_how": form["repaired_how"]}
    yield form.entry("ticket", ticket.id, step, only=("repaired_note",))
    for stopgap in found.stopgaps:
        yield form.make("stopgap", stopgap, {"ended_at": at, "ended_how": f"Repaired for good: {ticket.what}"})
    if thing is None or thing.role is None:
        return
    if form["state"] == LineState.REPLACED:
        fitted: dict[str, Value] = {"state": LineState.REPLACED, "fitted_on": _day(at)}
        yield form.entry("line", thing.id, fitted | {"fitted_odometer": form["fitted_odometer"]}, only=_NEW_PART)
    elif thing.state == LineState.STOPGAP:
        yield form.make("line", thing.id, {"state": LineState.ORIGINAL})


def _for_now(form: Posted, found: _Repair, at: str) -> Iterator[Entry]:
    ticket, thing = found.ticket, found.thing
    # First the stopgap: what is wrong with it stands in its own boxes.
    about: Mapping[str, Value] = (
        {"line" if thing.role else "component": thing.id} if thing else {"what": ticket.found_label or ticket.what}
    )
    gap: dict[str, Value] = {"car": found.car.id, "ticket": ticket.id, "fitted_at": at}
    yield form.entry("stopgap", form.record(), gap | dict(about), only=_STOPGAP)
    yield form.make("ticket", ticket.id, {"repaired_at": at, "repaired_how": "stopgap", "repaired_note": None})
    if thing and thing.role:
        yield form.make("line", thing.id, {"state": LineState.STOPGAP})


def _day(at: str) -> str:
    try:
        return local(at).date().isoformat()
    except ValueError:
        return at


def _page(request: Request, found: _Repair, form: Filled, *, status: int = 200) -> Response:
    how = form.values.get("repaired_how", "stopgap" if found.ticket.repaired_how == "stopgap" else "for_good")
    return page(
        request,
        "tickets/repaired.html",
        status=status,
        repair=found,
        how=how,
        good=form if how != "stopgap" else EMPTY,
        gap=form if how == "stopgap" else EMPTY,
        record=form.values.get("record") or new_id(),
        materials=list(MATERIAL_LABEL.items()),
    )
