"""Jobs: a car's list of them, opening one, and the page the work is done from."""

from typing import Any

from fastapi import APIRouter, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.doubts import meter, odometer_doubt
from app.pages.follows import OF_JOBS
from app.pages.forms import EMPTY, Form, Posted, reasons_of
from app.pages.job_card import card_of
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import the_car, the_job
from app.records import jobs as record
from app.records.car_known import job_known, work_known
from app.records.distance import odometer
from app.records.entry import Value
from app.records.jobs import JobRow
from app.records.known import known
from app.records.logbook import now

router = APIRouter()

PAGE = 50


@router.get("/cars/{car}/jobs")
def every_job(request: Request, car: str, before: str = "") -> Response:
    """The car's jobs: those still open, then the others from the newest on."""
    with garage_of(request).read() as db:
        here = the_car(db, car)
        closed = record.closed_jobs(db, car, before=before, limit=PAGE + 1)
        unfinished = [] if before else record.unfinished_jobs(db, car)
        found = work_known(db, car)
    found |= {f"job/{job.id}": {"opened_at": job.opened_at} for job in closed}
    found |= {f"job/{job.id}": job_known(job, ()) for job in unfinished}
    running = [job for job in unfinished if job.state in {"open", "unfinished"}]
    return page(
        request,
        "jobs/list.html",
        car=here,
        running=running,
        # Those still open are among them, unseen: closed on a phone, they are there to be seen.
        closed=sorted([*closed[:PAGE], *running], key=lambda job: (job.opened_at, job.id), reverse=True),
        is_bound={job.id for job in unfinished},
        any_closed=bool(closed),
        more=closed[PAGE - 1].id if len(closed) > PAGE else None,
        before=before,
        known=found,
        laid=Laid(found),
        follows=OF_JOBS,
    )


@router.get("/cars/{car}/jobs/earlier")
def earlier_jobs(request: Request, car: str, before: str = "") -> Response:
    """A fragment: the closed jobs before the one that is named, to stand below the list."""
    with garage_of(request).read() as db:
        here = the_car(db, car)
        found = record.closed_jobs(db, car, before=before, limit=PAGE + 1)
    more = found[PAGE - 1].id if len(found) > PAGE else None
    return page(request, "jobs/earlier.html", car=here, jobs=found[:PAGE], more=more)


@router.get("/cars/{car}/jobs/new")
def new_job(request: Request, car: str) -> Response:
    """The empty form."""
    with garage_of(request).read() as db:
        return page(request, "jobs/new.html", form=EMPTY, job=None, record=new_id(), **_beside(db, car))


@router.post("/cars/{car}/jobs/new")
def open_job(request: Request, car: str, form: Form) -> Response:
    """Open the job, or show the form again."""
    return _keep(request, form, car, form.record(), None)


@router.get("/jobs/{job}")
def one_job(request: Request, job: str) -> Response:
    """The page the work is done from."""
    with garage_of(request).read() as db:
        return page(request, "jobs/show.html", **card_of(db, the_job(db, job)))


@router.get("/jobs/{job}/edit")
def edit(request: Request, job: str) -> Response:
    """The job's own fields, to be put right."""
    with garage_of(request).read() as db:
        here = the_job(db, job)
        beside = _beside(db, here.car) | {"known": known(db, "job", id=job)}
        return page(request, "jobs/new.html", form=EMPTY, job=here, record=job, **beside)


@router.post("/jobs/{job}/edit")
def put_right(request: Request, job: str, form: Form) -> Response:
    """Take the corrected fields, or show the form again."""
    with garage_of(request).read() as db:
        here = the_job(db, job)
    return _keep(request, form, here.car, job, here)


@router.post("/jobs/{job}/void")
def opened_by_mistake(request: Request, job: str, form: Form) -> Response:
    """Take the job, with all its touches, out of every list."""
    garage = garage_of(request)
    with garage.read() as db:
        here = the_job(db, job)
    garage.take(form.make("job", job, {"void_reason": form["void_reason"] or "Opened by mistake"}))
    return see(f"/cars/{here.car}/jobs")


def _keep(request: Request, form: Posted, car: str, job: str, before: JobRow | None) -> Response:
    garage = garage_of(request)
    with garage.read() as db:
        beside = _beside(db, car)
        # A figure that already stood there was asked about when it was entered.
        same = before is not None and before.odometer is not None and form["odometer"] == f"{before.odometer:.10g}"
        doubt = None if same else odometer_doubt(db, the_car(db, car), form["odometer"], form["opened_at"])
    asks = {"odometer": doubt} if doubt and "odometer" not in form.sure else {}
    reasons: dict[str, str] = {}
    if not asks:
        opened: dict[str, Value] = {} if before or form["opened_at"] else {"opened_at": now()}
        outcome = garage.take(form.entry("job", job, {"car": car} | opened))
        if outcome.outcome != "refused":
            return see(f"/jobs/{job}")
        reasons = reasons_of([outcome])
    again = form.again(reasons, asks)
    return page(request, "jobs/new.html", status=422, form=again, job=before, record=job, **beside)


def _beside(db: Connection, car: str) -> dict[str, Any]:
    here = the_car(db, car)
    return {"car": here, "last": odometer(db, car), "known": {}, "meter": meter(db, car, here.distance_unit)}
