"""Findings: what was seen while in there, and how it was settled."""

from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.forms import EMPTY, Form, reasons_of
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import choices_of, the_job
from app.records import findings as record
from app.records.entry import Value
from app.records.findings import FindingRow
from app.records.known import known
from app.records.logbook import now

router = APIRouter()


@router.get("/jobs/{job}/findings/new")
def new_finding(request: Request, job: str, at: str = "") -> Response:
    """The empty form; `at` is the line or component it is on, if that is known."""
    with garage_of(request).read() as db:
        return page(request, "findings/new.html", form=EMPTY, at=at, record=new_id(), **_beside(db, job))


@router.post("/jobs/{job}/findings/new")
def add_finding(request: Request, job: str, form: Form) -> Response:
    """Take the finding, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        beside = _beside(db, job)
        here = the_job(db, job)
    finding = form.record()
    seen_at = form["seen_at"] or now()
    outcome = garage.take(form.entry("finding", finding, {"car": here.car, "job": job, "seen_at": seen_at}))
    if outcome.outcome == "refused":
        again = form.again(reasons_of([outcome]))
        return page(request, "findings/new.html", status=422, form=again, at="", record=finding, **beside)
    return see(f"/jobs/{job}#findings")


@router.get("/findings/{finding}")
def one_finding(request: Request, finding: str) -> Response:
    """The finding, and the form that settles it."""
    with garage_of(request).read() as db:
        return page(request, "findings/show.html", form=EMPTY, **_one(db, finding))


@router.post("/findings/{finding}")
def settle(request: Request, finding: str, form: Form) -> Response:
    """Take how it was settled, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        one = _one(db, finding)
    reasons = {} if form["settled_how"].strip() else {"settled_how": "Say how it was settled."}
    if not reasons:
        settled: dict[str, Value] = {"settled_how": form["settled_how"], "settled_at": form["settled_at"] or now()}
        outcome = garage.take(form.make("finding", finding, settled))
        if outcome.outcome != "refused":
            return see(_home(one["finding"]))
        reasons = reasons_of([outcome])
    return page(request, "findings/show.html", status=422, form=form.again(reasons), **one)


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


def _beside(db: Connection, job: str) -> dict[str, Any]:
    here = the_job(db, job)
    return {"job": here, "choices": choices_of(db, here.car)}


def _one(db: Connection, finding: str) -> dict[str, Any]:
    found = known(db, "finding", id=finding)
    return {"finding": _the_finding(db, finding), "known": found, "k": Laid(found)}


def _the_finding(db: Connection, finding: str) -> FindingRow:
    found = record.finding(db, finding)
    if found is None:
        raise HTTPException(404, "There is no such finding.")
    return found


def _home(finding: FindingRow) -> str:
    return f"/jobs/{finding.job}#findings" if finding.job else f"/cars/{finding.car}"
