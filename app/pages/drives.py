"""Noting how far the car has come and how often its engine went hot and cold."""

from dataclasses import asdict
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.doubts import meter, odometer_doubt
from app.pages.forms import Filled, Form
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import the_car
from app.records.car_known import filled
from app.records.drives import last_drives

router = APIRouter()


@router.get("/cars/{car_id}/drives/new")
def blank(request: Request, car_id: str) -> Response:
    """The empty form, with the last notes under it."""
    return _form(request, Filled({"record": new_id()}), car_id)


@router.post("/cars/{car_id}/drives/new")
def note(request: Request, car_id: str, form: Form) -> Response:
    """Keep the note, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        asked = odometer_doubt(db, the_car(db, car_id), form["odometer"], form["at"])
    if asked and "odometer" not in form.sure:
        return _form(request, form.again({}, {"odometer": asked}), car_id, 422)
    outcome = garage.take(form.entry("drive", form.record(), {"car": car_id}))
    if outcome.outcome == "refused":
        return _form(request, form.again(outcome.reasons), car_id, 422)
    return see(f"/cars/{car_id}")


def _form(request: Request, form: Filled, car_id: str, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        car, drives = the_car(db, car_id), last_drives(db, car_id)
        read_before = meter(db, car_id, car.distance_unit)
    known = {f"drive/{one.id}": filled(asdict(one).items()) for one in drives}
    shown: dict[str, Any] = {"drives": drives, "known": known, "laid": Laid(known), "meter": read_before}
    return page(request, "drives/new.html", status=status, form=form, car=car, **shown)
