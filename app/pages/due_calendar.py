"""What is due on a day, as a calendar file: of one car, and of the garage."""

from collections.abc import Iterable
from datetime import datetime

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.shell import garage_of
from app.pages.which import the_car
from app.paper.calendar import MEDIA_TYPE, DueDay, calendar
from app.paper.csv import attachment
from app.records.due_days import Due, due_days

router = APIRouter()

_SAYS = {
    "event": "{car}: {title}",
    "recheck": "{car}: re-check {title}",
    "stopgap": "{car}: the stopgap at {title} is at its limit",
    "arrives": "{car}: {title} should arrive",
    "stage": "{car}: {title} is meant to be done",
}


@router.get("/cars/{car_id}/due.ics")
def of_a_car(request: Request, car_id: str) -> Response:
    """The days of one car."""
    with garage_of(request).read() as db:
        car, found = the_car(db, car_id), due_days(db, car_id)
    return _file(car.name, found)


@router.get("/due.ics")
def of_the_garage(request: Request) -> Response:
    """The days of every car."""
    with garage_of(request).read() as db:
        found = due_days(db)
    return _file("Garage", found)


def _file(name: str, found: Iterable[Due]) -> Response:
    days = (
        DueDay(
            uid=f"{one.what}.{one.id}.{one.car}@witnessmark",
            day=one.day,
            title=_SAYS[one.what].format(car=one.car_name, title=one.title),
            more=one.note or "",
            changed_at=datetime.fromisoformat(one.changed_at),
        )
        for one in found
    )
    return Response(calendar(name, days), media_type=MEDIA_TYPE, headers=dict(attachment(f"{name} due.ics")))
