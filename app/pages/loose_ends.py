"""A joint a job took off: back on, checked, and off again."""

from collections.abc import Iterable, Iterator
from typing import Any

from fastapi import APIRouter, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.car_facts import Facts
from app.pages.forms import EMPTY, Form, Posted, reasons_of
from app.pages.job_card import laid_for, off_now, shared_by_pages
from app.pages.shell import garage_of, page, see
from app.pages.torque_doubt import ask_of, doubts_of
from app.pages.which import the_job, the_loose_end, the_thing
from app.records import loose_ends as record
from app.records.entry import Entry, Value
from app.records.jobs import JobRow
from app.records.logbook import RefusedError, now
from app.records.loose_ends import LooseEnd
from app.records.wrenches import wrenches

router = APIRouter()


@router.get("/jobs/{job}/loose-ends/{joint}")
def one_joint(request: Request, job: str, joint: str) -> Response:
    """The joint: put it back on with one tap, or with its check."""
    with garage_of(request).read() as db:
        return page(request, "loose_ends/show.html", **_beside(db, job, joint) | {"form": EMPTY})


@router.post("/jobs/{job}/loose-ends/{joint}")
def check_joint(request: Request, job: str, joint: str, form: Form) -> Response:
    """Take the check; a joint that is checked is back on, so one act says both."""
    garage = garage_of(request)
    with garage.read() as db:
        beside = _beside(db, job, joint)
        here, end = the_job(db, job), the_loose_end(db, job, joint)
        asks = doubts_of(end, form, wrenches(db))
    if asks:
        again = form.again({}, asks)
        return page(request, "loose_ends/show.html", status=422, **beside | {"form": again})
    try:
        garage.take_all(_check(form, here, end))
    except RefusedError as refused:
        again = form.again(reasons_of(refused.outcomes[:1]))
        return page(request, "loose_ends/show.html", status=422, **beside | {"form": again})
    return _back_to_list(job)


@router.post("/jobs/{job}/loose-ends/{joint}/back-on")
def back_on(request: Request, job: str, joint: str, form: Form) -> Response:
    """One tap: it is back on, now. Its check is still to come."""
    garage = garage_of(request)
    with garage.read() as db:
        end = the_loose_end(db, job, joint)
    garage.take_all(_on(form, [end]))
    return _back_to_list(job)


@router.post("/jobs/{job}/lines/{line}/back-on")
def both_back_on(request: Request, job: str, line: str, form: Form) -> Response:
    """One tap for a whole line: every end the job took off is back on."""
    garage = garage_of(request)
    with garage.read() as db:
        the_thing(db, job, line)
        ends = [end for end in record.of_job(db, job) if end.line == line]
    garage.take_all(_on(form, ends))
    return _back_to_list(job)


@router.post("/jobs/{job}/loose-ends/{joint}/off-again")
def off_again(request: Request, job: str, joint: str, form: Form) -> Response:
    """Undo: the joint is off, and what was checked on it no longer counts."""
    garage = garage_of(request)
    with garage.read() as db:
        end = the_loose_end(db, job, joint)
    garage.take_all(_off(form, end))
    return see(f"/jobs/{job}/loose-ends/{joint}")


def _beside(db: Connection, job: str, joint: str) -> dict[str, Any]:
    here, end = the_job(db, job), the_loose_end(db, job, joint)
    shown = laid_for(db, here)
    off = [one for one in off_now(shown, record.joints_of(db, here.car)) if one.line == end.line]
    return shared_by_pages(shown) | {
        "job": here,
        "end": end,
        "line": Facts(f"line/{end.line}", shown.known),
        "off": off,
        "ask": ask_of(end),
        "wrenches": wrenches(db),
        "hose": "new" if shown.holds(f"touch/{job}.{end.line} how = replaced") else "reused",
    }


def _on(form: Posted, ends: Iterable[LooseEnd]) -> Iterator[Entry]:
    for end in ends:
        if end.back_on_at is None:
            fields = {"job": end.job, "joint": end.joint, "back_on_at": now(), "void_reason": None}
            yield form.make("loose_end", end.id, fields)


def _off(form: Posted, end: LooseEnd) -> Iterator[Entry]:
    if end.back_on_at is not None:
        yield form.make("loose_end", end.id, {"back_on_at": None})
    if end.checked_at is not None:
        yield form.make("check", end.id, {"void_reason": "Off again"})


def _check(form: Posted, job: JobRow, end: LooseEnd) -> Iterator[Entry]:
    done = form["done_at"] or now()
    about: dict[str, Value] = {"car": job.car, "job": job.id, "joint": end.joint, "done_at": done, "void_reason": None}
    # A unit without a figure says nothing.
    about |= {} if form["torque_value"].strip() else {"torque_value": None, "torque_unit": None}
    yield form.entry("check", end.id, about)
    if end.back_on_at is None:
        fields = {"job": job.id, "joint": end.joint, "back_on_at": done, "void_reason": None}
        yield form.make("loose_end", end.id, fields)


def _back_to_list(job: str) -> Response:
    return see(f"/jobs/{job}#loose-ends")
