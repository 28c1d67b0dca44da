"""Closing a job: what still hangs loose, what was only leaned on, and what to look at again after some driving."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.words import Hold
from app.pages.forms import EMPTY, Form, Posted, reasons_of
from app.pages.shell import garage_of, page, see
from app.pages.which import the_job
from app.pages.words import count, inside
from app.records import leaned_on, loose_ends
from app.records.distance import odometer
from app.records.entry import Entry, Value
from app.records.jobs import JobRow
from app.records.leaned_on import LeanedOn
from app.records.logbook import RefusedError
from app.records.loose_ends import LooseEnd

router = APIRouter()

#: Clamps that a screw closes give as hose and clamp settle together; a first look after a few heat cycles is usual.
#: (Common practice, no source.)
_SETTLES = frozenset({Hold.WORM_DRIVE, Hold.T_BOLT, Hold.FLANGE})


@dataclass(frozen=True, slots=True)
class Offer:
    """A joint, or a line whose clamp was moved, that closing the job offers to have looked at again."""

    id: str
    what: str
    field: str
    ticked: bool


@router.get("/jobs/{job}/close")
def closing(request: Request, job: str) -> Response:
    """What is left to do, and the form that closes the job."""
    with garage_of(request).read() as db:
        return page(request, "jobs/close.html", form=EMPTY, chosen=None, **_beside(db, job))


@router.post("/jobs/{job}/close")
def close(request: Request, job: str, form: Form) -> Response:
    """Close it with the re-checks that were ticked; with loose ends left, only if it is said why."""
    garage = garage_of(request)
    with garage.read() as db:
        beside = _beside(db, job)
        here, offers, last = the_job(db, job), offers_of(db, job), odometer(db, the_job(db, job).car)
    reasons: dict[str, str] = {}
    if here.ends_left and not form["carried_reason"].strip():
        left = count(here.ends_left, "joint is", "joints are")
        reasons["carried_reason"] = f"{left} not back on and checked. See to them, or say why they are carried over."
    else:
        try:
            garage.take_all(_entries(form, here, offers, last.reads if last else None))
        except RefusedError as refused:
            reasons = reasons_of(refused.outcomes[:1])
        else:
            return see(f"/jobs/{job}")
    chosen = form.many.get("recheck", ())
    return page(request, "jobs/close.html", status=422, form=form.again(reasons), chosen=chosen, **beside)


@router.post("/jobs/{job}/reopen")
def reopen(request: Request, job: str, form: Form) -> Response:
    """Undo closing. The re-checks set then stay."""
    garage = garage_of(request)
    with garage.read() as db:
        the_job(db, job)
    garage.take(form.make("job", job, {"closed_at": None, "carried_reason": None}))
    return see(f"/jobs/{job}")


def offers_of(db: Connection, job: str) -> list[Offer]:
    """The re-checks that closing offers: one for each joint taken off and each line with a clamp moved."""
    ends = [_of_joint(end) for end in loose_ends.of_job(db, job)]
    moved = [_of_line(line) for line in leaned_on.leaned_on(db, job) if line.how == "clamp_moved"]
    return [*ends, *moved]


def _of_joint(end: LooseEnd) -> Offer:
    what = f"{end.line_name}, at the {inside(end.at_component)}"
    return Offer(end.joint, what, "joint", end.hold in _SETTLES)


def _of_line(line: LeanedOn) -> Offer:
    return Offer(line.line, f"{line.name}, clamp moved", "line", ticked=True)


def _beside(db: Connection, job: str) -> dict[str, Any]:
    here = the_job(db, job)
    left = [end for end in loose_ends.of_job(db, job) if end.state != "checked"]
    unseen = [line for line in leaned_on.leaned_on(db, job) if line.good is None]
    return {"job": here, "left": left, "unseen": unseen, "offers": offers_of(db, job)}


def _entries(form: Posted, job: JobRow, offers: list[Offer], reads: float | None) -> Iterator[Entry]:
    # A reason given while nothing hangs loose would make a late touch look carried over.
    reason = form["carried_reason"] if job.ends_left else None
    yield form.make("job", job.id, {"closed_at": form["closed_at"], "carried_reason": reason})
    ticked = form.many.get("recheck", ())
    limits = {name: form[name] for name in ("after_heat_cycles", "after_distance", "after_days")}
    for offer in offers:
        if offer.id in ticked:
            about: dict[str, Value] = {"car": job.car, offer.field: offer.id, "what": offer.what}
            since: dict[str, Value] = {"since_at": form["closed_at"], "since_odometer": reads}
            undone: dict[str, Value] = {"done_at": None, "void_reason": None}
            yield form.make("recheck", f"{job.id}.{offer.id}", about | since | undone | limits)
