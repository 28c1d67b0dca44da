"""A part fitted in a job, or taken off in one: its state, the part change, and for a line the touch, in one act."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from fastapi import APIRouter, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.words import TouchKind
from app.pages.car_parts import the_part
from app.pages.doubts import meter, odometer_doubt
from app.pages.forms import EMPTY, Filled, Form, Posted, reasons_of
from app.pages.lines import CHOICES
from app.pages.replacements import Old, jobs_known, moment_fitted, replaced_entries, still_to_come
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import the_car
from app.records.car_parts import AtPlace, PartHead, at_place
from app.records.entry import Entry, Value
from app.records.fields import moment_text, moment_wrong
from app.records.jobs import JobRow, open_jobs
from app.records.known import known
from app.records.lines import joints_of, line
from app.records.logbook import RefusedError

router = APIRouter()

#: What becomes of what came off.
OFF_TO = (("shelf", "To the shelf"), ("gone", "Gone"))
_STAYS = ("stays", "Stays on")
_WHERE = ("line", "component", "position")
#: The box that a field of what is entered was written in.
_BOX_OF = {"fitted_at": "fitted_on", "removed_at": "fitted_on", "opened_at": "fitted_on", "title": "job_title"}
_MADE_OF = ("material", "bore_mm", "length_mm")


@dataclass(frozen=True, slots=True)
class _Work:
    """What a form to fit or to take off is about: the part, the open jobs, what is fitted at its place, its line."""

    part: PartHead
    jobs: Sequence[JobRow]
    there: Sequence[AtPlace]
    old: Old | None


@router.get("/parts/{part_id}/fit")
def fit(request: Request, part_id: str) -> Response:
    """The form: when, in which job, and what becomes of what was there."""
    with garage_of(request).read() as db:
        return _page(request, db, "car_parts/fit.html", EMPTY, _work(db, part_id))


@router.post("/parts/{part_id}/fit")
def fitted(request: Request, part_id: str, form: Form) -> Response:
    """Enter all that fitting it comes to, or show the form again."""
    return _done(request, part_id, form, "car_parts/fit.html", _fitted)


@router.get("/parts/{part_id}/remove")
def remove(request: Request, part_id: str) -> Response:
    """The form: when, in which job, and what becomes of the part."""
    with garage_of(request).read() as db:
        return _page(request, db, "car_parts/remove.html", EMPTY, _work(db, part_id))


@router.post("/parts/{part_id}/remove")
def removed(request: Request, part_id: str, form: Form) -> Response:
    """Enter that it came off, or show the form again."""
    return _done(request, part_id, form, "car_parts/remove.html", _removed)


def _done(
    request: Request, part_id: str, form: Posted, template: str, entries: Callable[[Posted, _Work], Iterator[Entry]]
) -> Response:
    garage = garage_of(request)
    with garage.read() as db:
        work = _work(db, part_id)
        at = f"{form['fitted_on']}T23:59" if form["fitted_on"] else ""
        asked = odometer_doubt(db, the_car(db, work.part.car), form["fitted_odometer"], at)
        asks = {"odometer": asked} if asked and "odometer" not in form.sure else {}
        reasons = _why_not(form, work, template)
        if reasons or asks:
            return _page(request, db, template, form.again(reasons, asks), work)
    try:
        garage.take_all([*_job(form, work), *entries(form, work)])
    except RefusedError as refused:
        with garage.read() as db:
            said = {_BOX_OF.get(name, name): why for name, why in reasons_of(refused.outcomes[:1]).items()}
            return _page(request, db, template, form.again(said), work)
    return see(f"/parts/{part_id}")


def _work(db: Connection, part_id: str) -> _Work:
    part = the_part(db, part_id)
    jobs = open_jobs(db, part.car)
    place = part.line or part.component or part.position
    there = at_place(db, part.car, place) if place else []
    found = line(db, part.line) if part.line and _is_line(part) else None
    old = Old(found, joints_of(db, found.id), jobs) if found else None
    same = [one for one in there if one.state == "fitted" and one.kind == part.kind and one.id != part_id]
    return _Work(part, jobs, same, old)


def _is_line(part: PartHead) -> bool:
    # A clamp or a bolt of a line is not the line.
    return part.line is not None and part.kind in {"hose", "other"}


def _why_not(form: Posted, work: _Work, template: str) -> dict[str, str]:
    reasons = still_to_come(form, "fitted_on")
    if not form["fitted_on"].strip():
        reasons["fitted_on"] = "Write the day."
    if form["job"] not in {job.id for job in work.jobs} and not (form["job"] and form["job"] == form["new_job"]):
        reasons["job"] = "Choose the job this is done in, or open one."
    if template.endswith("remove.html") and form["off_to"] not in dict(OFF_TO):
        reasons["off_to"] = "Say what becomes of it."
    if work.old and work.old.line.retired_on:
        reasons[""] = "Its line is retired. Bring the line back first."
    return reasons


def _job(form: Posted, work: _Work) -> Iterator[Entry]:
    if form["job"] and form["job"] == form["new_job"]:
        title = form["job_title"].strip() or f"Fit: {work.part.name}"[:120]
        opened: dict[str, Value] = {"car": work.part.car, "title": title, "opened_at": moment_fitted(form)}
        yield form.make("job", form["job"], opened)


def _fitted(form: Posted, work: _Work) -> Iterator[Entry]:
    part, at, job = work.part, moment_fitted(form), form["job"]
    state: dict[str, Value] = {"state": "fitted", "fitted_at": at, "job": job, "removed_at": None}
    state |= {name: form[name] for name in ("fitted_odometer", *(_MADE_OF if work.old else ())) if name in form.values}
    yield form.make("part", part.id, state)
    yield from _what_was_there(form, work, at)
    if work.old:
        yield from replaced_entries(form, work.old)
    elif place := _place(part):
        change: dict[str, Value] = {"job": job, "at": at, "off_part": form["off_part"], "on_part": part.name}
        yield form.make("part_change", f"{job}.{part.id}.fitted"[:200], change | place)
        yield from _moved(form, work)


def _what_was_there(form: Posted, work: _Work, at: str) -> Iterator[Entry]:
    for one in work.there:
        if form[f"was.{one.id}"] in dict(OFF_TO):
            yield form.make("part", one.id, {"state": form[f"was.{one.id}"], "removed_at": at})
    if not work.there and form["off_to"] == "shelf" and form["off_part"].strip() and form["off_record"]:
        kept: dict[str, Value] = {"car": work.part.car, "name": form["off_part"], "kind": work.part.kind}
        kept |= {"state": "shelf", "condition": "used", "removed_at": at} | _place(work.part)
        if work.old:
            kept |= {name: getattr(work.old.line, name) for name in _MADE_OF}
        yield form.make("part", form["off_record"], kept)


def _removed(form: Posted, work: _Work) -> Iterator[Entry]:
    part, at, job = work.part, moment_fitted(form), form["job"]
    yield form.make("part", part.id, {"state": form["off_to"], "removed_at": at})
    if place := _place(part):
        change: dict[str, Value] = {"job": job, "at": at, "off_part": part.name}
        yield form.make("part_change", f"{job}.{part.id}.removed"[:200], change | place)
    yield from _moved(form, work)


def _moved(form: Posted, work: _Work) -> Iterator[Entry]:
    if line_id := work.part.line:
        touch: dict[str, Value] = {"job": form["job"], "line": line_id, "how": TouchKind.CLAMP_MOVED}
        if _is_line(work.part):
            touch |= {"how": TouchKind.DISCONNECTED, "ends": "both"}
        yield form.make("touch", f"{form['job']}.{line_id}", touch | {"at": moment_fitted(form)})


def _place(part: PartHead) -> dict[str, Value]:
    return {name: getattr(part, name) for name in _WHERE if getattr(part, name)}


def _start(work: _Work, fields: Mapping[str, Value]) -> dict[str, object]:
    """What the new one is made of as far as it is known; what fits is as wide and as long as what it replaces."""
    if work.old is None:
        return {}
    line_now = work.old.line
    return {
        "material": fields.get("material"),
        "bore_mm": fields.get("bore_mm") or line_now.bore_mm,
        "length_mm": fields.get("length_mm") or line_now.length_mm,
    }


def _page(request: Request, db: Connection, template: str, form: Filled, work: _Work) -> Response:
    told = form.values.get("at", "")
    at = moment_text(datetime.now(UTC)) if moment_wrong(told) else told
    car = the_car(db, work.part.car)
    fields = known(db, "part", id=work.part.id)[f"part/{work.part.id}"]
    return page(
        request,
        template,
        status=422 if form.errors or form.asks else 200,
        form=form,
        part=work.part,
        work=work,
        car=car,
        at=at,
        off_to=OFF_TO,
        with_stays=(*OFF_TO, _STAYS),
        new_job=form.values.get("new_job") or new_id(),
        off_record=form.values.get("off_record") or new_id(),
        holds=CHOICES["holds"],
        lists=CHOICES,
        start=_start(work, fields),
        is_line=_is_line(work.part),
        where=_place(work.part),
        made_of=_MADE_OF,
        known=jobs_known(work.jobs),
        meter=meter(db, car.id, car.distance_unit),
    )
