"""Findings: what was seen while in there, and how it was settled."""

from collections.abc import Iterator
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.forms import EMPTY, Form, Posted, reasons_of
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import choices_of, the_job
from app.records import findings as record
from app.records.entry import Entry
from app.records.findings import FindingRow
from app.records.jobs import JobRow
from app.records.leaned_on import LeanedOn, leaned_on
from app.records.logbook import RefusedError

router = APIRouter()


@router.get("/jobs/{job}/findings/new")
def new_finding(request: Request, job: str, at: str = "") -> Response:
    """The empty form; `at` is the line or component it is on, if that is known."""
    with garage_of(request).read() as db:
        return page(request, "findings/new.html", form=EMPTY, at=at, record=new_id(), **_beside(db, job))


@router.post("/jobs/{job}/findings/new")
def add_finding(request: Request, job: str, form: Form) -> Response:
    """Take the finding, or show the form again. A line leaned on counts as looked at by it, and as not sound."""
    garage = garage_of(request)
    with garage.read() as db:
        beside = _beside(db, job)
        here, leaned = the_job(db, job), leaned_on(db, job)
    finding = form.record()
    try:
        garage.take_all(_entries(form, here, finding, leaned))
    except RefusedError as refused:
        again = form.again(reasons_of(refused.outcomes[:1]))
        return page(request, "findings/new.html", status=422, form=again, at="", record=finding, **beside)
    return see(f"/jobs/{job}#findings")


@router.get("/findings/{finding}")
def one_finding(request: Request, finding: str) -> Response:
    """The finding, and the form that settles it."""
    with garage_of(request).read() as db:
        return page(request, "findings/show.html", form=EMPTY, finding=_the_finding(db, finding))


@router.post("/findings/{finding}")
def settle(request: Request, finding: str, form: Form) -> Response:
    """Take how it was settled, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        here = _the_finding(db, finding)
    reasons = {} if form["settled_how"].strip() else {"settled_how": "Say how it was settled."}
    if not reasons:
        outcome = garage.take(form.entry("finding", finding, only=("settled_at", "settled_how")))
        if outcome.outcome != "refused":
            return see(_home(here))
        reasons = reasons_of([outcome])
    return page(request, "findings/show.html", status=422, form=form.again(reasons), finding=here)


@router.post("/findings/{finding}/unsettle")
def not_settled(request: Request, finding: str, form: Form) -> Response:
    """Undo: it is not settled after all."""
    garage = garage_of(request)
    with garage.read() as db:
        _the_finding(db, finding)
    garage.take(form.make("finding", finding, {"settled_at": None, "settled_how": None}))
    return see(f"/findings/{finding}")


@router.post("/findings/{finding}/void")
def take_back(request: Request, finding: str, form: Form) -> Response:
    """Undo: it was put down by mistake."""
    garage = garage_of(request)
    with garage.read() as db:
        here = _the_finding(db, finding)
    garage.take(form.make("finding", finding, {"void_reason": "Put down by mistake"}))
    return see(_home(here))


def _entries(form: Posted, job: JobRow, finding: str, leaned: list[LeanedOn]) -> Iterator[Entry]:
    yield form.entry("finding", finding, {"car": job.car, "job": job.id})
    for line in leaned:
        if line.line == form["line"] and line.good is None:
            about = {"car": job.car, "job": job.id, "line": line.line, "done_at": form["seen_at"]}
            yield form.make("check", line.id, about | {"good": "no", "void_reason": None})


def _beside(db: Connection, job: str) -> dict[str, Any]:
    here = the_job(db, job)
    return {"job": here, **choices_of(db, here.car)}


def _the_finding(db: Connection, finding: str) -> FindingRow:
    found = record.finding(db, finding)
    if found is None:
        raise HTTPException(404, "There is no such finding.")
    return found


def _home(finding: FindingRow) -> str:
    return f"/jobs/{finding.job}#findings" if finding.job else f"/cars/{finding.car}"
