"""A look at a line that was only leaned on: sound, or something found."""

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.forms import Form
from app.pages.shell import garage_of, see
from app.pages.which import the_job
from app.records.leaned_on import LeanedOn, leaned_on
from app.records.logbook import now

router = APIRouter()


@router.post("/jobs/{job}/looked-at/{line}")
def looked_at(request: Request, job: str, line: str, form: Form) -> Response:
    """One tap: looked at, and sound or not."""
    garage = garage_of(request)
    with garage.read() as db:
        here, leaned = the_job(db, job), _the_leaned_on(db, job, line)
    good = form["good"] or "yes"
    if leaned.good is None or bool(leaned.good) is not (good == "yes"):
        about = {"car": here.car, "job": job, "line": line, "done_at": now(), "good": good, "void_reason": None}
        garage.take(form.make("check", leaned.id, about))
    return see(f"/jobs/{job}#leaned-on")


@router.post("/jobs/{job}/looked-at/{line}/undo")
def not_looked_at(request: Request, job: str, line: str, form: Form) -> Response:
    """Call the look back."""
    garage = garage_of(request)
    with garage.read() as db:
        leaned = _the_leaned_on(db, job, line)
    if leaned.good is not None:
        garage.take(form.make("check", leaned.id, {"void_reason": "Not looked at after all"}))
    return see(f"/jobs/{job}#leaned-on")


def _the_leaned_on(db: Connection, job: str, line: str) -> LeanedOn:
    found = next((one for one in leaned_on(db, job) if one.line == line), None)
    if found is None:
        raise HTTPException(404, "This job did not lean on that line.")
    return found
