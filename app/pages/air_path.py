"""The air path of a car: the drawing, and the plain list beside it."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.shell import garage_of, page
from app.pages.which import the_car
from app.records.air_path import air_path
from app.records.car_known import cars_of_work
from app.records.gone import gone_from

router = APIRouter()


@router.get("/cars/{car_id}/air-path")
def show(request: Request, car_id: str) -> Response:
    """Every line, to be found by looking or by reading."""
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        path, gone, belongs = air_path(db, car_id), gone_from(db, car_id), cars_of_work(db)
    return page(request, "cars/air_path.html", car=car, path=path, gone=gone, known=belongs)
