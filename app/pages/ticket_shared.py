"""What all tickets of a car share, to be kept on a phone: what they rank by, and some of their forms."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.kept_for_good import answer
from app.pages.shell import garage_of
from app.pages.ticket_forms import forms_of
from app.pages.ticket_model import car_model
from app.pages.which import the_car
from app.records.baselines import baselines

router = APIRouter()


@router.get("/cars/{car}/kept/model/{mark}")
def model(request: Request, car: str, mark: str) -> Response:
    """The car's part of the model."""
    with garage_of(request).read() as db:
        found = car_model(db, the_car(db, car))
    return answer(found.text, "application/json", mark=found.mark, asked=mark)


@router.get("/cars/{car}/kept/ticket-forms/{mark}")
def ticket_forms(request: Request, car: str, mark: str) -> Response:
    """The forms of a ticket that has no id yet, each group of them in an element with its name in `data-form`."""
    with garage_of(request).read() as db:
        found = forms_of(the_car(db, car), baselines(db, car))
    return answer(found.written(), "text/html", mark=found.mark, asked=mark)
