"""Closing a job: what still hangs loose, what was only leaned on, and what to look at again after some driving."""

from collections.abc import Iterator
from dataclasses import dataclass

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.forms import EMPTY, Filled, Form, Posted, reasons_of
from app.pages.job_card import left_of
from app.pages.shell import garage_of, page, see
from app.pages.which import the_job
from app.pages.words import inside
from app.records import leaned_on, loose_ends
from app.records.entry import Entry, Value
from app.records.jobs import JobRow
from app.records.leaned_on import LeanedOn
from app.records.logbook import RefusedError, now
from app.records.loose_ends import LooseEnd

router = APIRouter()


@dataclass(frozen=True, slots=True)
class Offer:
    """A joint, or a line whose clamp was moved, that closing the job offers to have looked at again."""

    id: str
    what: str
    field: str


@router.get("/jobs/{job}/close")
def closing(request: Request, job: str) -> Response:
    """What is left to do, and the form that closes the job."""
    return _shown(request, job, EMPTY, None)


@router.post("/jobs/{job}/close")
def close(request: Request, job: str, form: Form) -> Response:
    """Close it with the re-checks that were ticked; with loose ends left, only if it is said why."""
    garage = garage_of(request)
    with garage.read() as db:
        here = the_job(db, job)
        offers = [
            *map(_of_joint, loose_ends.of_job(db, job)),
            *(_of_line(line) for line in leaned_on.leaned_on(db, job) if line.how == "clamp_moved"),
        ]
    reasons: dict[str, str] = {}
    if here.ends_left and not form["carried_reason"].strip():
        left = f"Joints not back on and checked: {here.ends_left}."
        reasons["carried_reason"] = f"{left} See to them, or say why they are carried over."
    else:
        try:
            garage.take_all(_entries(form, here, offers))
        except RefusedError as refused:
            reasons = reasons_of(refused.outcomes[:1])
        else:
            return see(f"/jobs/{job}")
    return _shown(request, job, form.again(reasons), form.many.get("recheck", ()))


@router.post("/jobs/{job}/reopen")
def reopen(request: Request, job: str, form: Form) -> Response:
    """Undo closing. The re-checks set then stay."""
    garage = garage_of(request)
    with garage.read() as db:
        the_job(db, job)
    garage.take(form.make("job", job, {"closed_at": None, "carried_reason": None}))
    return see(f"/jobs/{job}")


def _shown(request: Request, job: str, form: Filled, chosen: tuple[str, ...] | None) -> Response:
    with garage_of(request).read() as db:
        card = left_of(db, the_job(db, job))
    status = 422 if form.errors else 200
    return page(request, "jobs/close.html", status=status, **card | {"form": form, "chosen": chosen})


def _of_joint(end: LooseEnd) -> Offer:
    return Offer(end.joint, f"{end.line_name}, at the {inside(end.at_component)}", "joint")


def _of_line(line: LeanedOn) -> Offer:
    return Offer(line.line, f"{line.name}, clamp moved", "line")


def _entries(form: Posted, job: JobRow, offers: list[Offer]) -> Iterator[Entry]:
    # A reason given while nothing hangs loose would make a late touch look carried over.
    reason = form["carried_reason"] if job.ends_left else None
    closed_at = form["closed_at"] or now()
    yield form.make("job", job.id, {"closed_at": closed_at, "carried_reason": reason})
    ticked = form.many.get("recheck", ())
    limits = {name: form[name] for name in ("after_heat_cycles", "after_distance")}
    for offer in offers:
        if offer.id in ticked:
            about: dict[str, Value] = {"car": job.car, offer.field: offer.id, "what": offer.what}
            since: dict[str, Value] = {"since_at": closed_at, "done_at": None, "void_reason": None}
            yield form.make("recheck", f"{job.id}.{offer.id}", about | since | limits)
