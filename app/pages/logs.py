"""A log's own page."""

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.pages.log_charts import chart_of
from app.pages.shell import garage_of, page
from app.pages.which import the_car
from app.records.traces import trace_row

router = APIRouter()


@router.get("/logs/{log_id}")
def show(request: Request, log_id: str) -> Response:
    """One log."""
    with garage_of(request).read() as db:
        log = trace_row(db, log_id)
        if log is None:
            raise HTTPException(404, "There is no such log.")
        car = the_car(db, log.car)
    return page(request, "logs/show.html", log=log, car=car, known={}, **chart_of(request, log))
