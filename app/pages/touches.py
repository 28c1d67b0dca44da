"""Touches: what a job does to a line or component, one tap each, and what was touched across jobs."""

from collections.abc import Iterable, Iterator
from typing import Any

from fastapi import APIRouter, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.car_facts import Facts, car_facts
from app.pages.follows import OF_TOUCHES
from app.pages.forms import EMPTY, Filled, Form, Posted, reasons_of
from app.pages.job_card import LABELS, laid_for, off_now, shared_by_pages
from app.pages.laid import Laid
from app.pages.shell import garage_of, page, see
from app.pages.which import choices_of, the_car, the_job, the_thing
from app.pages.words import inside, today
from app.records import touches as record
from app.records.car_known import work_known
from app.records.distance import odometer
from app.records.entry import Entry, Value
from app.records.jobs import unfinished_jobs, worked_at
from app.records.known import Known
from app.records.logbook import RefusedError, now
from app.records.loose_ends import joints_of
from app.records.touches import Thing, Told, TouchRow

router = APIRouter()

PAGE = 50


@router.get("/cars/{car}/touched")
def what_was_touched(request: Request, car: str, line: str = "", before: str = "") -> Response:
    """Everything the car's jobs touched, newest first; `line` picks one line (or component) out."""
    with garage_of(request).read() as db:
        here, last = the_car(db, car), odometer(db, car)
        found = record.touches_of(db, car, thing=line, after=before, limit=PAGE + 1)
        choices, known, running = choices_of(db, car), _around(db, car), unfinished_jobs(db, car)
    more = found[PAGE - 1].id if len(found) > PAGE else None
    facts = {f"touch/{one.id}": _facts(one, last.reads if last else None) for one in found[:PAGE]}
    known |= {f"job/{job.id}": {"car": car, "title": job.title, "air_temp_c": job.air_temp_c} for job in running}
    # What an unfinished job did may yet be checked on the phone; what others did is as it is, and its moment is all
    # that the phone has to know of it, to put what it adds in its place.
    bound = {ref for ref, fields in facts.items() if f"job/{fields['job']}" in known}
    known |= {ref: fields if ref in bound else {"at": fields["at"]} for ref, fields in facts.items()}
    shown: dict[str, Any] = {
        "touches": found[:PAGE],
        "bound": bound,
        "laid": Laid(known, LABELS),
        "past": Laid(facts, LABELS, still=True),
    }
    choose: dict[str, Any] = {
        "things": [*choices["lines"], *choices["components"]],
        "form": Filled({"line": line}),
        "line": line,
    }
    choose["what"] = "line" if line in dict(choices["lines"]) else "component"
    told: dict[str, Any] = {"known": known, "labels": LABELS, "follows": OF_TOUCHES}
    return page(request, "touches/list.html", car=here, more=more, before=before, **shown, **choose, **told)


@router.get("/jobs/{job}/things")
def everything(request: Request, job: str) -> Response:
    """Every line and component by name, for a phone without scripts."""
    with garage_of(request).read() as db:
        here = the_job(db, job)
        shown = laid_for(db, here)
    things = [(ref.partition("/")[0], Facts(ref, shown.known)) for ref in shown.known]
    rows = [(what, facts) for what, facts in things if what in {"line", "component"}]
    return page(request, "touches/things.html", job=here, rows=rows, **shared_by_pages(shown))


@router.get("/jobs/{job}/touch/{thing}")
def touch_page(request: Request, job: str, thing: str) -> Response:
    """What to say of one line or component: a page of its own, for a phone without scripts."""
    return _sheet(request, job, thing)


@router.post("/jobs/{job}/touch/{thing}")
def touch(request: Request, job: str, thing: str, form: Form) -> Response:
    """Record how it was touched, and go back to the job."""
    if reasons := _record(request, job, thing, form):
        return _sheet(request, job, thing, form.again(reasons))
    return see(f"/jobs/{job}")


@router.post("/jobs/{job}/touch/{thing}/undo")
def not_touched(request: Request, job: str, thing: str, form: Form) -> Response:
    """Call the touch back; its loose ends go with it."""
    garage = garage_of(request)
    with garage.read() as db:
        here = the_thing(db, job, thing)
    if here.how is not None:
        garage.take(form.make("touch", f"{job}.{thing}", {"void_reason": "Not touched after all"}))
    return see(f"/jobs/{job}")


def _around(db: Connection, car: str) -> Known:
    known = {**work_known(db, car), **record.looks_known(db, car)}
    for ref, fields in car_facts(db, car, today().isoformat()).known.items():
        known[ref] = known.get(ref, {}) | {name: fields[name] for name in ("name", "from", "to") if name in fields}
    return known


def _facts(touch: TouchRow, reads: float | None) -> dict[str, Value]:
    since = None if reads is None or touch.odometer is None else reads - touch.odometer
    one_end = touch.at_component if touch.ends in {"from", "to"} else None
    fields: dict[str, Value] = {
        "job": touch.job,
        "line": touch.line,
        "component": touch.component,
        "name": touch.name,
        "how": touch.how,
        "ends": touch.ends,
        "where": inside(one_end) if one_end else None,
        "at": touch.at,
        "title": touch.job_title,
        "air_temp_c": touch.air_temp_c,
        "since": since if since is not None and since >= 1 else None,
        "checked": "yes" if touch.checked else None,
    }
    return {name: value for name, value in fields.items() if value is not None}


def _sheet(request: Request, job: str, thing: str, form: Filled = EMPTY) -> Response:
    with garage_of(request).read() as db:
        here, touched = the_job(db, job), the_thing(db, job, thing)
        shown = laid_for(db, here)
        off = [one for one in off_now(shown, joints_of(db, here.car)) if one.line == thing]
    # A line that came off the car for good is no part of what the page knows of it.
    facts = Facts(f"{touched.what}/{thing}", shown.known) if touched.retired_on is None else None
    wrong = " ".join(form.errors.values())
    more = {"job": here, "thing": touched, "facts": facts, "off": off, "wrong": wrong}
    return page(request, "touches/page.html", status=422 if wrong else 200, **shared_by_pages(shown) | more)


def _record(request: Request, job: str, thing: str, form: Posted) -> dict[str, str]:
    garage = garage_of(request)
    with garage.read() as db:
        touched, told = the_thing(db, job, thing), record.told_of(db, job, thing)
        at = worked_at(db, job, now())
    if touched.retired_on is not None:
        return {"how": "It is no longer on the car."}
    if (touched.how, touched.ends) == (form["how"], form["ends"] or "both"):
        return {}  # tapped twice, or sent twice
    try:
        garage.take_all(_entries(form, job, touched, told, at))
    except RefusedError as refused:
        return reasons_of(refused.outcomes)
    return {}


def _entries(form: Posted, job: str, thing: Thing, told: Iterable[Told], at: str) -> Iterator[Entry]:
    how, ends = form["how"], form["ends"] or "both"
    fields = {"job": job, thing.what: thing.id, "how": how, "ends": ends, "at": at, "void_reason": None}
    yield form.make("touch", f"{job}.{thing.id}", fields)
    fresh = thing.ends_off(how, ends) - thing.ends_off(thing.how or "", thing.ends or "both")
    for joint in told:
        if joint.end in fresh and joint.back_on:
            yield form.make("loose_end", f"{job}.{joint.joint}", {"back_on_at": None})
        if joint.end in fresh and joint.checked:
            yield form.make("check", f"{job}.{joint.joint}", {"void_reason": "It came off again"})
