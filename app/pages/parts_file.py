"""The parts of a car as comma-separated values."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.shell import garage_of
from app.pages.which import the_car
from app.paper.csv import MEDIA_TYPE, attachment, written
from app.records.part_list import COLUMNS, part_list

router = APIRouter()


@router.get("/cars/{car_id}/parts.csv")
def parts(request: Request, car_id: str) -> Response:
    """Every part, wherever it is."""
    with garage_of(request).read() as db:
        car, found = the_car(db, car_id), part_list(db, car_id)
    return Response(written(COLUMNS, found), media_type=MEDIA_TYPE, headers=dict(attachment(f"{car.name} parts.csv")))
