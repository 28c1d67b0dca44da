"""A line: its page, a new one, and its facts."""

from dataclasses import asdict
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.words import HOLD_LABEL, MATERIAL_LABEL, ROLE_LABEL, End
from app.pages.changes import changes
from app.pages.doubts import meter, odometer_doubt
from app.pages.forms import EMPTY, Filled, Form, Posted, reasons_of
from app.pages.laid import Laid
from app.pages.part_words import STATES
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import the_car
from app.records import lines as record
from app.records.car_parts import at_place
from app.records.cars import CarRow
from app.records.entry import Value
from app.records.known import known
from app.records.lines import Line, Place
from app.records.logbook import RefusedError
from app.records.photos import photos_of

router = APIRouter()

#: The choices of a line's form, each a list of (stored, shown), and what is said of two ends at one place.
CHOICES: dict[str, Any] = {
    "roles": list(ROLE_LABEL.items()),
    "materials": list(MATERIAL_LABEL.items()),
    "holds": list(HOLD_LABEL.items()),
    "same_end": "A line goes from one component to another. Choose the other end.",
}
LABELS = {
    "material": {material.value: label for material, label in MATERIAL_LABEL.items()},
    "hold": {hold.value: label for hold, label in HOLD_LABEL.items()},
    "state": {"original": "as it came", "replaced": "replaced", "stopgap": "stopgap"},
}
_SAME_END = {"to_component": CHOICES["same_end"]}


@router.get("/lines/{line_id}")
def show(request: Request, line_id: str) -> Response:
    """What it is, what holds it, and everything that was done to it."""
    with garage_of(request).read() as db:
        found = record.line_page(db, line_id)
        facts = {**known(db, "line", id=line_id), **known(db, "joint", line=line_id)}
        photos_found = photos_of(db, "line", line_id)
        parts = at_place(db, found.line.car, line_id) if found else []
    if found is None:
        raise HTTPException(404, "There is no such line.")
    return page(
        request,
        "lines/show.html",
        of=found,
        photos_found=photos_found,
        at_place=parts,
        labels_of_parts=STATES,
        here=request.scope["state"]["device"],
        known=facts,
        labels=LABELS,
        l=Laid(facts, LABELS, about=f"line/{line_id}"),
    )


@router.get("/cars/{car_id}/lines/new")
def new(request: Request, car_id: str) -> Response:
    """The empty form."""
    with garage_of(request).read() as db:
        car, places = the_car(db, car_id), record.places(db, car_id)
        number = record.next_number(db, car_id)
        beside = form_facts(db, car_id, car.distance_unit)
    blank = Filled({"number": str(number), "record": new_id()})
    return page(request, "lines/new.html", form=blank, car=car, places=places, **beside)


@router.post("/cars/{car_id}/lines/new")
def add(request: Request, car_id: str, form: Form) -> Response:
    """Add the line with its two joints, or show the form again."""
    line_id = form.record()
    garage = garage_of(request)
    with garage.read() as db:
        car, places = the_car(db, car_id), record.places(db, car_id)
    if form["from_component"] and form["from_component"] == form["to_component"]:
        return _new_again(request, form.again(_SAME_END), car, places)
    entries = [form.entry("line", line_id, {"car": car_id})]
    for end in End:
        fields: dict[str, Value] = {"line": line_id, "end": end, "hold": form[f"{end}_hold"]}
        entries.append(form.make("joint", f"{line_id}.{end}", fields))
    try:
        garage.take_all(entries)
    except RefusedError as refused:
        return _new_again(request, form.again(reasons_of(refused.outcomes[:1])), car, places)
    return see(f"/lines/{line_id}")


@router.get("/lines/{line_id}/edit")
def edit(request: Request, line_id: str) -> Response:
    """The form with the line's facts in it."""
    with garage_of(request).read() as db:
        line = the_line(db, line_id)
        places = record.places(db, line.car, line.from_component, line.to_component)
        beside = form_facts(db, line.car, line.distance_unit)
    return page(request, "lines/edit.html", form=EMPTY, line=line, places=places, **beside)


@router.post("/lines/{line_id}/edit")
def change(request: Request, line_id: str, form: Form) -> Response:
    """Take what was changed, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        line = the_line(db, line_id)
        places = record.places(db, line.car, line.from_component, line.to_component)
        asks = fitting_doubt(db, line.car, form)
        beside = form_facts(db, line.car, line.distance_unit)
    fields = changes(form, "line", asdict(line))
    again = _edit_doubts(line, fields, form, asks)
    if again is None and fields:
        outcome = garage.take(form.make("line", line_id, fields))
        again = form.again(outcome.reasons) if outcome.outcome == "refused" else None
    if again:
        return page(request, "lines/edit.html", status=422, form=again, line=line, places=places, **beside)
    return see(f"/lines/{line_id}")


def the_line(db: Connection, line_id: str) -> Line:
    """The line of that id. Raises HTTPException 404."""
    found = record.line(db, line_id)
    if found is None:
        raise HTTPException(404, "There is no such line.")
    return found


def form_facts(db: Connection, car_id: str, unit: str) -> dict[str, Any]:
    """What a line's form has beside the line: its choices, and what the car's odometer read before."""
    return {"known": {}, "lists": CHOICES, "meter": meter(db, car_id, unit)}


def fitting_doubt(db: Connection, car_id: str, form: Posted) -> dict[str, str]:
    """The question about the odometer at which something was fitted, unless it was answered already."""
    at = f"{form['fitted_on']}T23:59" if form["fitted_on"] else ""
    doubt = odometer_doubt(db, the_car(db, car_id), form["fitted_odometer"], at)
    return {"odometer": doubt} if doubt and "odometer" not in form.sure else {}


def _edit_doubts(line: Line, fields: dict[str, Value], form: Posted, asks: dict[str, str]) -> Filled | None:
    ends = (form["from_component"] or line.from_component, form["to_component"] or line.to_component)
    if ends[0] == ends[1]:
        return form.again(_SAME_END)
    if not fields.keys().isdisjoint({"from_component", "to_component"}):
        # The way drawn for it led between other components; the drawing finds a new one.
        fields["route"] = None
    return form.again({}, asks) if asks and "fitted_odometer" in fields else None


def _new_again(request: Request, form: Filled, car: CarRow, places: list[Place]) -> Response:
    with garage_of(request).read() as db:
        beside = form_facts(db, car.id, car.distance_unit)
    return page(request, "lines/new.html", status=422, form=form, car=car, places=places, **beside)
