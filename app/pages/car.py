"""One car: its page, and its facts."""

from dataclasses import asdict

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.airpath.words import SUSPECT_LABEL
from app.pages.changes import changes
from app.pages.follows import OF_A_CAR
from app.pages.forms import EMPTY, Form
from app.pages.gauges import numbers
from app.pages.laid import Laid
from app.pages.shell import garage_of, page, see
from app.pages.which import the_car
from app.records.boost_targets import boost_target, over_of
from app.records.car_page import car_page
from app.records.drift import drifting
from app.records.overboost import over_in_logs
from app.records.readings import line_of
from app.records.rechecks import SOON

router = APIRouter()

LABELS = {"suspect": {suspect.value: label for suspect, label in SUSPECT_LABEL.items()}}


@router.get("/cars/{car_id}")
def show(request: Request, car_id: str) -> Response:
    """Fit to run or why not, its tickets, readings and jobs, and the way to everything else."""
    with garage_of(request).read() as db:
        found = car_page(db, the_car(db, car_id))
        drifts = [*drifting(db, car_id).values()]
        gauges, target = numbers(db, car_id, found.readings), boost_target(db, car_id)
        over_logs = over_in_logs(garage_of(request), db, car_id, target)
    return page(
        request,
        "cars/show.html",
        of=found,
        car=found.car,
        lines=[line_of(past, usual, over_of(past[-1], target)) for past, usual in found.readings],
        over_logs=over_logs,
        known=found.known,
        labels=LABELS,
        laid=Laid(found.known, LABELS),
        follows=OF_A_CAR,
        gauges=gauges,
        drifts=drifts,
        SOON=SOON,
    )


@router.get("/cars/{car_id}/edit")
def edit(request: Request, car_id: str) -> Response:
    """The form with the car's facts in it."""
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
    return page(request, "cars/edit.html", known={}, form=EMPTY, car=car)


@router.post("/cars/{car_id}/edit")
def change(request: Request, car_id: str, form: Form) -> Response:
    """Take what was changed, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        car = the_car(db, car_id)
    fields = changes(form, "car", asdict(car))
    if fields:
        outcome = garage.take(form.make("car", car_id, fields))
        if outcome.outcome == "refused":
            return page(request, "cars/edit.html", known={}, status=422, form=form.again(outcome.reasons), car=car)
    return see(f"/cars/{car_id}")
