"""The parts of a car: the list by state, a part's page, its form, and its state at a tap."""

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.changes import changes
from app.pages.forms import EMPTY, Filled, Form
from app.pages.laid import Laid
from app.pages.part_needs import needs_shown
from app.pages.part_words import CONDITIONS, KINDS, LABELS, OF_PARTS, SPEC, STATES
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import choices_of, the_car
from app.pages.words import today
from app.records import car_parts as record
from app.records.car_known import car_itself, places_known
from app.records.car_parts import PartHead
from app.records.cars import CarRow
from app.records.entry import Value
from app.records.known import Known, known
from app.records.photos import photos_of
from app.records.plan import plan_of

router = APIRouter()

_PLACE = ("line", "component", "position")


@router.get("/cars/{car_id}/parts")
def every_part(request: Request, car_id: str) -> Response:
    """The car's parts, by state; of what is gone the last."""
    with garage_of(request).read() as db:
        car, parts = the_car(db, car_id), record.listed(db, car_id)
        found = {**car_itself(db, car), **places_known(db, car_id), **record.stages_known(db, car_id), **parts}
    laid = Laid(found, LABELS)
    ids = {state: _ids_in(parts, state) for state in STATES}
    words: dict[str, Any] = {"states": STATES, "labels": LABELS, "follows": OF_PARTS}
    return page(request, "car_parts/list.html", car=car, ids=ids, laid=laid, known=found, **words)


@router.get("/cars/{car_id}/parts/new")
def blank(request: Request, car_id: str) -> Response:
    """The empty form, with what the address says already in it: its place, stage, kind or state."""
    asked = request.query_params
    start = {name: asked[name] for name in (*_PLACE, "stage", "kind", "state") if asked.get(name)}
    with garage_of(request).read() as db:
        return _form(request, db, Filled(start | {"record": new_id()}), the_car(db, car_id))


@router.post("/cars/{car_id}/parts/new")
def add(request: Request, car_id: str, form: Form) -> Response:
    """Take the part, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        car = the_car(db, car_id)
    made = form.record()
    outcome = garage.take(form.entry("part", made, {"car": car_id}))
    if outcome.outcome == "refused":
        with garage.read() as db:
            return _form(request, db, form.again(outcome.reasons), car)
    return see(f"/parts/{made}")


@router.get("/parts/{part_id}")
def show(request: Request, part_id: str) -> Response:
    """What it is, how it stands, what it needs first, and what else is at its place."""
    with garage_of(request).read() as db:
        return shown(request, db, the_part(db, part_id), EMPTY)


@router.get("/parts/{part_id}/edit")
def edit(request: Request, part_id: str) -> Response:
    """The form with the part's facts in it."""
    with garage_of(request).read() as db:
        head = the_part(db, part_id)
        return _form(request, db, EMPTY, the_car(db, head.car), head)


@router.post("/parts/{part_id}/edit")
def change(request: Request, part_id: str, form: Form) -> Response:
    """Take what was changed, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        head = the_part(db, part_id)
        current = known(db, "part", id=part_id)[f"part/{part_id}"]
    fields = changes(form, "part", current)
    outcome = garage.take(form.make("part", part_id, fields)) if fields else None
    if outcome is not None and outcome.outcome == "refused":
        with garage.read() as db:
            return _form(request, db, form.again(outcome.reasons), the_car(db, head.car), head)
    return see(f"/parts/{part_id}")


@router.post("/parts/{part_id}/state")
def stands(request: Request, part_id: str, form: Form) -> Response:
    """One tap: ordered, here, on the shelf, gone, wanted again; or another day it is expected."""
    garage = garage_of(request)
    with garage.read() as db:
        head = the_part(db, part_id)
    day = {"ordered": "ordered_on", "here": "arrived_on"}.get(form["state"])
    fixed: dict[str, Value] = {day: today().isoformat()} if day else {}
    outcome = garage.take(form.entry("part", part_id, fixed, only=("state", "expected_on")))
    if outcome.outcome == "refused":
        with garage.read() as db:
            return shown(request, db, head, form.again(outcome.reasons), 422)
    return see(f"/parts/{part_id}")


def the_part(db: Connection, part_id: str) -> PartHead:
    """The part of that id. Raises HTTPException 404."""
    found = record.part(db, part_id)
    if found is None:
        raise HTTPException(404, "There is no such part.")
    return found


def shown(request: Request, db: Connection, head: PartHead, form: Filled, status: int = 200) -> Response:
    """A part's page, with what was wrong with a form on it."""
    car = the_car(db, head.car)
    found = {**car_itself(db, car), **places_known(db, head.car), **record.part_known(db, head)}
    found |= known(db, "need", part=head.id)
    place = head.line or head.component or head.position
    said = record.slips(db, head.id)
    return page(
        request,
        "car_parts/show.html",
        status=status,
        part=head,
        car=car,
        form=form,
        spec=_spec_shown(),
        at_place=[one for one in record.at_place(db, head.car, place) if one.id != head.id] if place else [],
        slips=said,
        later=record.days_later(said),
        photos_found=photos_of(db, "part", head.id),
        known=found,
        labels=LABELS,
        follows=OF_PARTS,
        l=Laid(found, LABELS, about=f"part/{head.id}"),
        **needs_shown(plan_of(db, head.car), head.id),
    )


def _ids_in(parts: Known, state: str) -> list[str]:
    return [ref.removeprefix("part/") for ref, fields in parts.items() if fields["state"] == state]


def _spec_shown() -> list[tuple[str, str, str]]:
    return [box for _, group in SPEC for box in group]


def _form(request: Request, db: Connection, form: Filled, car: CarRow, head: PartHead | None = None) -> Response:
    now: Mapping[str, Value] = known(db, "part", id=head.id)[f"part/{head.id}"] if head else {}
    stages = record.stages_known(db, car.id)
    beside: dict[str, Any] = {
        "places": choices_of(db, car.id),
        "positions": record.positions_of(db, car.id),
        "stages": [(one, f"{stage['step']}. {stage['name']}") for one, stage in record.by_id(stages, "stage")],
        "currency": record.last_currency(db, car.id),
        "lists": {"states": STATES.items(), "kinds": KINDS.items(), "conditions": CONDITIONS.items()},
        "labels": LABELS,
        "spec": SPEC,
        "known": {},
    }
    return page(
        request,
        "car_parts/form.html",
        status=422 if form.errors else 200,
        form=form,
        car=car,
        part=head,
        now=now,
        **beside,
    )
