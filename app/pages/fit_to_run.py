"""Fit to run: one event's page, ticked off, signed and printed before it, and what it came to noted after it."""

from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.words import SUSPECT_LABEL
from app.pages.doubts import meter, odometer_doubt
from app.pages.events import LABELS as EVENT_LABELS
from app.pages.events import the_event
from app.pages.follows import OF_A_CAR, Rules
from app.pages.forms import EMPTY, Filled, Form, Posted
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.pages.torque_doubt import UNITS
from app.pages.which import the_car
from app.records.cars import CarRow
from app.records.changed_since import JUDGED
from app.records.entry import Entry, Value
from app.records.events import EventRow, today
from app.records.fit_to_run import day_after, driven_id, fit_to_run
from app.records.kinds import KINDS
from app.records.logbook import now
from app.records.musts import START, WHEELS, start_id
from app.records.rechecks import SOON
from app.records.wheels import check_id

router = APIRouter()

LABELS = EVENT_LABELS | {
    "suspect": {suspect.value: label for suspect, label in SUSPECT_LABEL.items()},
    "unit": {unit.value: unit.label for unit in UNITS},
}
#: Where the phone finds what a record is called whose change it tells of; no box where only its kind is known there.
_TITLE = {
    **dict.fromkeys(("finding", "ticket", "recheck", "check", "must"), ". what"),
    **dict.fromkeys(("fastener", "line"), ". name"),
    "job": ". title",
    "part_change": ". on_part",
    "stopgap": ". used",
    "looked_at": "must/{must} what",
}
_MOVING = {kind: (KINDS[kind].label, _TITLE.get(kind, "")) for kind in JUDGED}
_WHY = "Something is still open. Say why you sign all the same."


def _follows(event: str) -> Rules:
    check = f"check/{event}.{{id}}"
    made = f"{check} good = yes & {check} done_at >= {{jobs_until}} & ! {check} void_reason"
    return {
        **OF_A_CAR,
        "fastener": {"settled": {"any": [f". settled_before & ! {check} good = no", made]}},
        "must": {"asked": {"any": [". before = any", f"event/{event} kind = {{before}}"]}},
    }


@router.get("/events/{event_id}")
def show(request: Request, event_id: str) -> Response:
    """What has to be true before the event, with every answer there is."""
    return _page(request, event_id, EMPTY)


@router.post("/events/{event_id}/looked/{must_id}")
def look(request: Request, event_id: str, must_id: str, form: Form) -> Response:
    """Note what was seen of one thing of the own list: good or not, or a note about it."""
    about: dict[str, Value] = {"event": event_id, "must": must_id, "looked_at": now(), "void_reason": None}
    said = form.entry("looked_at", f"{event_id}.{must_id}", about, only=("good", "note"))
    return _take(request, event_id, form, said, f"#must-{must_id}")


@router.post("/events/{event_id}/wheels/{fastener_id}")
def check_wheels(request: Request, event_id: str, fastener_id: str, form: Form) -> Response:
    """Note that a group of wheel fasteners was checked, and with what torque."""
    with garage_of(request).read() as db:
        car = the_event(db, event_id).car
    about: dict[str, Value] = {"car": car, "fastener": fastener_id, "done_at": now(), "void_reason": None}
    reached: dict[str, Value] = {"torque_value": None, "torque_unit": None}
    if form["torque_value"].strip():
        reached = {name: form[name] for name in reached}
    fields: dict[str, Value] = {**about, **reached, "good": form["good"]}
    return _take(request, event_id, form, form.make("check", check_id(event_id, fastener_id), fields), "#wheels")


@router.post("/events/{event_id}/sign")
def sign(request: Request, event_id: str, form: Form) -> Response:
    """Sign it with a name and this moment; with something still open it takes a reason."""
    garage = garage_of(request)
    with garage.read() as db:
        event = the_event(db, event_id)
        fit = fit_to_run(db, event, the_car(db, event.car)).fit
    reasons = {} if form["signed_by"].strip() else {"signed_by": "Write your name."}
    if not fit and not form["signed_despite"].strip():
        reasons["signed_despite"] = _WHY
    if reasons:
        return _page(request, event_id, form.again(reasons))
    despite = None if fit else form["signed_despite"]
    signed: dict[str, Value] = {"signed_at": now(), "signed_by": form["signed_by"], "signed_despite": despite}
    return _take(request, event_id, form, form.make("event", event_id, signed), "#signed")


@router.post("/events/{event_id}/unsign")
def take_signature_back(request: Request, event_id: str, form: Form) -> Response:
    """Undo the signature; it stays in the event's history."""
    nothing: dict[str, Value] = {"signed_at": None, "signed_by": None, "signed_despite": None}
    return _take(request, event_id, form, form.make("event", event_id, nothing), "#sign")


@router.post("/events/{event_id}/driven")
def log(request: Request, event_id: str, form: Form) -> Response:
    """Note what the event came to, or ask about an unlikely figure: what is due by distance and heat cycles moves."""
    with garage_of(request).read() as db:
        car = the_car(db, the_event(db, event_id).car)
        asked = odometer_doubt(db, car, form["odometer"], form["at"])
    if asked and "odometer" not in form.sure:
        return _page(request, event_id, form.again({}, {"odometer": asked}))
    names = ("odometer", "heat_cycles", "at", "note")
    said = form.entry("drive", driven_id(event_id), {"car": car.id, "void_reason": None}, only=names)
    return _take(request, event_id, form, said, "#after")


def _take(request: Request, event_id: str, form: Posted, entry: Entry, back: str) -> Response:
    garage = garage_of(request)
    with garage.read() as db:
        the_event(db, event_id)
    outcome = garage.take(entry)
    if outcome.outcome == "refused":
        if {"event", "must", "fastener", "record"} & outcome.reasons.keys():
            raise HTTPException(404, "There is no such thing to look at before this event.")
        return _page(request, event_id, form.again(outcome.reasons))
    return see(f"/events/{event_id}{back}")


def _page(request: Request, event_id: str, form: Filled) -> Response:
    with garage_of(request).read() as db:
        event = the_event(db, event_id)
        card = card_of(db, event, the_car(db, event.car))
    status = 422 if form.errors or form.asks else 200
    return page(request, "events/show.html", status=status, **card | {"form": form})


def card_of(db: Connection, event: EventRow, car: CarRow) -> dict[str, Any]:
    """All that an event's page shows."""
    found = fit_to_run(db, event, car)
    return {
        "form": EMPTY,
        "fit": found,
        "of": found.page,
        "car": car,
        "event": event,
        "over": event.on_day < today(),
        "known": found.known,
        "labels": LABELS,
        "laid": Laid(found.known, LABELS),
        "start": [(start_id(car.id, key), what) for key, what in START.items() if not (found.wheels and key == WHEELS)],
        "driven": driven_id(event.id),
        "moving": _MOVING,
        "until": day_after(event.on_day),
        "page_id": new_id(),
        "meter": meter(db, car.id, car.distance_unit),
        "follows": _follows(event.id),
        "SOON": SOON,
        "UNITS": UNITS,
    }
