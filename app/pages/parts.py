"""Parts on and off in a job."""

from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.forms import EMPTY, Form, reasons_of
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import choices_of, the_job
from app.records import parts as record
from app.records.logbook import now

router = APIRouter()


@router.get("/jobs/{job}/parts/new")
def new_change(request: Request, job: str, at: str = "") -> Response:
    """The empty form; `at` is the line or component it is about, if that is known."""
    with garage_of(request).read() as db:
        return page(request, "parts_changed/new.html", form=EMPTY, at=at, record=new_id(), **_beside(db, job))


@router.post("/jobs/{job}/parts/new")
def add_change(request: Request, job: str, form: Form) -> Response:
    """Take the change, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        beside = _beside(db, job)
    change = form.record()
    outcome = garage.take(form.entry("part_change", change, {"job": job, "at": form["at"] or now()}))
    if outcome.outcome == "refused":
        again = form.again(reasons_of([outcome]))
        return page(request, "parts_changed/new.html", status=422, form=again, at="", record=change, **beside)
    return see(f"/jobs/{job}#parts")


@router.post("/jobs/{job}/parts/{change}/void")
def take_back(request: Request, job: str, change: str, form: Form) -> Response:
    """Undo: the change was put down by mistake."""
    garage = garage_of(request)
    with garage.read() as db:
        the_job(db, job)
        if change not in {one.id for one in record.changes_in(db, job)}:
            raise HTTPException(404, "There is no such part change on this job.")
    garage.take(form.make("part_change", change, {"void_reason": "Put down by mistake"}))
    return see(f"/jobs/{job}#parts")


def _beside(db: Connection, job: str) -> dict[str, Any]:
    here = the_job(db, job)
    return {"job": here, "choices": choices_of(db, here.car)}
