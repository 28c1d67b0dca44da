"""The figures of a car by which the size of a leak is reckoned."""

from dataclasses import asdict

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.changes import changes
from app.pages.forms import EMPTY, Filled, Form
from app.pages.shell import garage_of, page, see
from app.pages.which import the_car
from app.records.car_figures import figures_of
from app.records.known import known

router = APIRouter()


@router.get("/cars/{car_id}/figures")
def show(request: Request, car_id: str) -> Response:
    """The form with what is known."""
    return _page(request, car_id, EMPTY)


@router.post("/cars/{car_id}/figures")
def change(request: Request, car_id: str, form: Form) -> Response:
    """Take what was changed, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        the_car(db, car_id)
        stands = asdict(figures_of(db, car_id))
    fields = changes(form, "car_figures", stands)
    if fields:
        outcome = garage.take(form.make("car_figures", car_id, fields | {"car": car_id, "void_reason": None}))
        if outcome.outcome == "refused":
            return _page(request, car_id, form.again(outcome.reasons), 422)
    return see(f"/cars/{car_id}/hole")


def _page(request: Request, car_id: str, form: Filled, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        car, figures, knows = the_car(db, car_id), figures_of(db, car_id), known(db, "car_figures", id=car_id)
    return page(request, "cars/figures.html", status=status, car=car, form=form, figures=figures, known=knows)
