"""A line replaced, taken off the car for good, or brought back."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.airpath.words import LineState, TouchKind
from app.pages.forms import EMPTY, Filled, Form, Posted, reasons_of
from app.pages.lines import fitting_doubt, form_facts, the_line
from app.pages.shell import garage_of, page, see
from app.pages.words import local
from app.records.entry import Entry, Value
from app.records.fields import moment_text, moment_wrong
from app.records.jobs import JobRow, open_jobs
from app.records.known import Known
from app.records.lines import Joint, Line, joints_of
from app.records.logbook import RefusedError

router = APIRouter()

_NEW_PART = ("fitted_on", "fitted_odometer", "material", "bore_mm", "length_mm", "part")
_RETIRED = "This line is retired. Bring it back first."


@router.get("/lines/{line_id}/replace")
def replace(request: Request, line_id: str) -> Response:
    """The form, with what is on now as a start."""
    with garage_of(request).read() as db:
        line = the_line(db, line_id)
        old = Old(line, joints_of(db, line_id), open_jobs(db, line.car))
    return _replace_page(request, EMPTY, old)


@router.post("/lines/{line_id}/replace")
def replaced(request: Request, line_id: str, form: Form) -> Response:
    """Note the new part, and what follows from it: new clamps, a touch in the job, the end of a stopgap."""
    garage = garage_of(request)
    with garage.read() as db:
        line = the_line(db, line_id)
        old = Old(line, joints_of(db, line_id), open_jobs(db, line.car))
        asks = fitting_doubt(db, line.car, form)
    reasons = _why_not(form, old)
    if reasons or asks:
        return _replace_page(request, form.again(reasons, asks), old, 422)
    try:
        garage.take_all(replaced_entries(form, old))
    except RefusedError as refused:
        return _replace_page(request, form.again(reasons_of(refused.outcomes[:1])), old, 422)
    return see(f"/lines/{line_id}")


@router.get("/lines/{line_id}/retire")
def retire(request: Request, line_id: str) -> Response:
    """When and why it came off for good."""
    with garage_of(request).read() as db:
        line = the_line(db, line_id)
    return page(request, "lines/retire.html", known={}, form=EMPTY, line=line)


@router.post("/lines/{line_id}/retire")
def retired(request: Request, line_id: str, form: Form) -> Response:
    """Retire it, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        line = the_line(db, line_id)
    needed = {"retired_on": "Write the day it came off.", "retired_reason": "Say why, for whoever looks for it."}
    reasons = {name: why for name, why in needed.items() if not form[name].strip()} | still_to_come(form, "retired_on")
    if not reasons:
        outcome = garage.take(form.entry("line", line_id, only=needed))
        reasons = dict(outcome.reasons)
    if reasons:
        return page(request, "lines/retire.html", known={}, status=422, form=form.again(reasons), line=line)
    return see(f"/lines/{line_id}")


@router.post("/lines/{line_id}/bring-back")
def bring_back(request: Request, line_id: str, form: Form) -> Response:
    """Undo a retirement."""
    garage = garage_of(request)
    with garage.read() as db:
        the_line(db, line_id)
    garage.take(form.make("line", line_id, {"retired_on": None, "retired_reason": None}))
    return see(f"/lines/{line_id}")


def still_to_come(form: Posted, name: str) -> dict[str, str]:
    """The refusal of a day that is still to come; what is no day is left to the door."""
    try:
        ahead = date.fromisoformat(form[name]) > datetime.now(UTC).astimezone().date()
    except ValueError:
        return {}
    return {name: "This is still to come. Look at the date."} if ahead else {}


@dataclass(frozen=True, slots=True)
class Old:
    """The line as it is before the new part."""

    line: Line
    joints: Sequence[Joint]
    jobs: Sequence[JobRow]


def _replace_page(request: Request, form: Filled, old: Old, status: int = 200) -> Response:
    told = form.values.get("at", "")
    at = moment_text(datetime.now(UTC)) if moment_wrong(told) else told
    line = old.line
    with garage_of(request).read() as db:
        beside = form_facts(db, line.car, line.distance_unit)
    beside["known"] = jobs_known(old.jobs)
    if line.retired_on:
        beside["known"] |= {f"line/{line.id}": {"retired_on": line.retired_on}}
    shown = {"old": old, "line": line, "at": at, "barred": _RETIRED}
    return page(request, "lines/replace.html", status=status, form=form, **shown, **beside)


def jobs_known(jobs: Sequence[JobRow]) -> Known:
    """The jobs a form offers, as a phone has to know them to offer its own besides."""
    return {f"job/{job.id}": {"car": job.car, "title": job.title} for job in jobs}


def _why_not(form: Posted, old: Old) -> dict[str, str]:
    reasons = still_to_come(form, "fitted_on")
    if old.line.retired_on:
        reasons[""] = _RETIRED
    if not form["fitted_on"].strip():
        reasons["fitted_on"] = "Write the day it was fitted."
    if form["job"] and form["job"] not in {job.id for job in old.jobs}:
        reasons["job"] = "This job is closed, or not of this car. Choose an open one, or none."
    return reasons


def replaced_entries(form: Posted, old: Old) -> Iterator[Entry]:
    """What a replacement enters: the line as it is now, its clamps, the end of its stopgap, and the job's share."""
    line = old.line
    yield form.entry("line", line.id, {"state": LineState.REPLACED}, only=_NEW_PART)
    for joint in old.joints:
        hold = form[f"{joint.end}_hold"]
        if hold != (joint.hold or ""):
            # The old clamp's torque says nothing of another kind of clamp.
            torque = dict.fromkeys(("torque_value", "torque_tolerance", "torque_unit", "torque_source"))
            yield form.make("joint", joint.id, {"hold": hold} | torque)
    if form["ends_stopgap"] and form["ends_stopgap"] == line.stopgap:
        how = f"Replaced by {form['part'].strip() or 'the permanent part'}"
        yield form.make("stopgap", line.stopgap, {"ended_at": moment_fitted(form), "ended_how": how})
    if job := form["job"]:
        touch: dict[str, Value] = {"job": job, "line": line.id, "how": TouchKind.REPLACED, "ends": "both"}
        yield form.make("touch", f"{job}.{line.id}", touch | {"at": moment_fitted(form)})
        if form["part"].strip() or form["off_part"].strip():
            parts: dict[str, Value] = {"off_part": form["off_part"], "on_part": form["part"]}
            change = f"{job}.{line.id}.replaced"
            yield form.make("part_change", change, {"job": job, "line": line.id, "at": moment_fitted(form)} | parts)


def moment_fitted(form: Posted) -> str:
    """The moment that a form's day means."""
    # The form says when it was opened: sent twice, it must say the same moment twice. A day gone by means its noon.
    opened = form["at"]
    try:
        if opened and local(opened).date().isoformat() == form["fitted_on"]:
            return opened
    except ValueError:
        pass
    return f"{form['fitted_on']}T12:00"
