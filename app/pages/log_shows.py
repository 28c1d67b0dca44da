"""What a log shows: its stretches, and each figure as a reading or a sign that is kept only by a tap."""

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page
from app.pages.spark import Spark, clock_of, spark
from app.pages.which import the_car
from app.records import log_shows as record
from app.records.log_answers import answered
from app.records.log_shows import Seen, seen_in
from app.records.traces import NoTraceError, trace_row
from app.traces.shown import Shown
from app.traces.stretches import DOING_LABEL
from app.traces.trace import Trace

router = APIRouter()


@router.get("/logs/{log_id}/shows")
def show(request: Request, log_id: str) -> Response:
    """The stretches found in a log and what they show; nothing of it is entered by looking."""
    garage = garage_of(request)
    with garage.read() as db:
        log = trace_row(db, log_id)
        if log is None or log.void_reason is not None:
            raise HTTPException(404, "There is no such log.")
        car = the_car(db, log.car)
    more: dict[str, Any] = {"log": log, "why_not": None, "found": None, "sparks": {}, "known": {}, "k": Laid({})}
    try:
        seen, sparks = answered(garage, (log,), _drawn, log.ambient_kpa)
    except NoTraceError as why:
        more["why_not"] = str(why)
        return page(request, "logs/shows.html", car=car, **more)
    with garage.read() as db:
        found = record.log_shows(db, log, seen)
    more |= {"found": found, "sparks": [sparks[one.shown] for one in found.proposals], "known": found.known}
    more |= {"k": Laid(found.known), "page_id": new_id(), "clock_of": clock_of, "doing": DOING_LABEL}
    return page(request, "logs/shows.html", car=car, **more)


def _drawn(trace: Trace, ambient_kpa: float | None) -> tuple[Seen, Mapping[Shown, Spark | None]]:
    seen = seen_in(trace, ambient_kpa)
    return seen, {one: spark(trace, one) for one in seen.things}
