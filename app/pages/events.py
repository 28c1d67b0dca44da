"""The days a car has to be fit for: planned, called off, put back."""

from dataclasses import asdict

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.forms import Filled, Form
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import the_car
from app.records import events as record
from app.records.car_known import filled

router = APIRouter()

LABELS = {"kind": {kind: label.capitalize() for kind, label in record.KIND_LABEL.items()}}


def the_event(db: Connection, event_id: str) -> record.EventRow:
    """The event of that id, called off or not. Raises HTTPException 404."""
    found = record.event(db, event_id)
    if found is None:
        raise HTTPException(404, "There is no such event.")
    return found


@router.get("/cars/{car_id}/events")
def every(request: Request, car_id: str) -> Response:
    """What is coming, and what went by."""
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        coming, past = record.coming_events(db, car_id), record.past_events(db, car_id)
    known = {f"event/{one.id}": filled(asdict(one).items()) for one in (*coming, *past)}
    return page(
        request,
        "events/list.html",
        car=car,
        coming=coming,
        past=past,
        today=record.today(),
        known=known,
        labels=LABELS,
        laid=Laid(known, LABELS),
    )


@router.get("/cars/{car_id}/events/new")
def blank(request: Request, car_id: str) -> Response:
    """The empty form."""
    return _form(request, Filled({"record": new_id()}), car_id)


@router.post("/cars/{car_id}/events/new")
def plan(request: Request, car_id: str, form: Form) -> Response:
    """Plan it, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        the_car(db, car_id)
    outcome = garage.take(form.entry("event", form.record(), {"car": car_id}))
    if outcome.outcome == "refused":
        return _form(request, form.again(outcome.reasons), car_id, 422)
    return see(f"/cars/{car_id}/events")


@router.post("/events/{event_id}/off")
def call_off(request: Request, event_id: str, form: Form) -> Response:
    """Call it off: it stays in the list, struck out."""
    return _set(request, event_id, form, "Called off")


@router.post("/events/{event_id}/on")
def put_back(request: Request, event_id: str, form: Form) -> Response:
    """Undo a calling off."""
    return _set(request, event_id, form, None)


def _set(request: Request, event_id: str, form: Form, void_reason: str | None) -> Response:
    garage = garage_of(request)
    with garage.read() as db:
        found = the_event(db, event_id)
    garage.take(form.make("event", event_id, {"void_reason": void_reason}))
    return see(f"/cars/{found.car}/events")


def _form(request: Request, form: Filled, car_id: str, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
    kinds = list(record.KIND_LABEL.items())
    return page(request, "events/new.html", status=status, form=form, car=car, kinds=kinds)
