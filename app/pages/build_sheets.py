"""The build sheet of a car, on the screen and on paper."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.shell import garage_of, page
from app.pages.which import the_car
from app.records.build_sheet import build_sheet
from app.records.logbook import now

router = APIRouter()


@router.get("/cars/{car_id}/build-sheet")
def show(request: Request, car_id: str) -> Response:
    """What is fitted now, position by position."""
    with garage_of(request).read() as db:
        car, sections = the_car(db, car_id), build_sheet(db, car_id)
    return page(request, "cars/build_sheet.html", car=car, sections=sections, today=now())
