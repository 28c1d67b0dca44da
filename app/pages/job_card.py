"""What a job's page shows and what it knows: every line, joint and form the job may need, used or not.

The page is a form over the whole car, so that a phone without a connection has all of it: what the job did shows or
hides its parts (app.pages.laid).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from app.airpath.words import TOUCH_LABEL
from app.pages.car_facts import Facts, Slots, car_facts
from app.pages.follows import OF_WORK
from app.pages.forms import EMPTY
from app.pages.kept_for_good import kept_at, mark_of
from app.pages.laid import Laid
from app.pages.live_drawing import LiveDrawing
from app.pages.release import release
from app.pages.shell import new_id
from app.pages.torque_doubt import UNITS
from app.pages.words import today
from app.records import findings, parts, photos
from app.records.air_path import air_path
from app.records.jobs import JobRow, first_entered
from app.records.kinds import KINDS
from app.records.known import Known, known
from app.records.loose_ends import CarJoint
from app.records.wrenches import wrenches

_OF_A_JOB = ("touch", "loose_end", "check", "finding", "part_change")
_TOUCHES = {str(how): label.capitalize() for how, label in TOUCH_LABEL.items()}
#: The words for what is stored, as every page about a job says it.
LABELS = {
    "how": _TOUCHES,
    "how_part": _TOUCHES | {"clamp_moved": "Fastener moved", "disconnected": "Taken off"},
    "unit": {unit.value: unit.label for unit in UNITS},
    "seated": {"yes": "seated", "no": "not seated"},
    "mark": {"drawn": "mark drawn", "in_line": "mark still in line", "moved": "mark had moved"},
}


Joint = CarJoint | Facts | Slots


@dataclass(frozen=True, slots=True)
class Counts:
    """What a job's page counts: joints taken off, those of them left, lines leaned on, those not looked at, re-checks
    that closing offers."""

    ends: int
    left: int
    leaned: int
    unseen: int
    offers: int


#: A job that has done nothing.
NOTHING = Counts(0, 0, 0, 0, 0)


def forms_mark(job: JobRow) -> str:
    """A mark of the forms that all jobs of its car share (app.pages.job_forms)."""
    return mark_of(release(), job.car, job.car_name, job.distance_unit)


def off_if(job: str, joint: Joint) -> str:
    """When a job took a joint off, as a page's condition; `joint` may be Slots."""
    touch = f"touch/{job}.{joint.line}"
    on_the_car = f"! line/{joint.line} gone"
    return (
        f"{touch} how = disconnected|replaced & {touch} ends = both|{joint.end} & ! {touch} void_reason & {on_the_car}"
    )


def end_rules(job: str, joint: Joint) -> str:
    """The classes of a loose end's row: off, back on, seen (checked at all), done (checked, and good)."""
    check = f"check/{job}.{joint.id}"
    seen = f"{check} done_at & ! {check} void_reason"
    return (
        f"off if ! . back_on_at; on if . back_on_at; seen if {seen}; done if . back_on_at & {check} good = yes & {seen}"
    )


def leaned_if(job: str, line: str) -> str:
    """When a job leaned on a line without taking it off."""
    touch = f"touch/{job}.{line}"
    return f"{touch} how = reached_past|clamp_moved & ! {touch} void_reason & ! line/{line} gone"


def moved_if(job: str, line: str) -> str:
    """When it moved a clamp of the line."""
    return f"touch/{job}.{line} how = clamp_moved & ! touch/{job}.{line} void_reason & ! line/{line} gone"


def laid_for(db: Connection, job: JobRow) -> Laid:
    """What the page knows of a job and its car, with what its list of loose ends shows."""
    facts = car_facts(db, job.car, today().isoformat())
    found = _known(db, job) | facts.known
    page = Laid(found, LABELS)
    ends = {f"e.{one.id}": _classes(page, job.id, one) for one in facts.joints if page.holds(off_if(job.id, one))}
    touched = [
        ref.removeprefix(f"touch/{job.id}.")
        for ref, touch in found.items()
        if ref.startswith("touch/") and not touch.get("void_reason")
    ]
    return Laid(found, LABELS, ends | {f"n.{one}": _line_classes(ends, one) for one in touched})


def counts_of(page: Laid, job: str, lines: list[str]) -> Counts:
    """How many of each as the record stands; the phone counts what it shows."""
    leaned = [line for line in lines if page.holds(leaned_if(job, line))]
    unseen = [x for x in leaned if not page.holds(f"check/{job}.{x} done_at & ! check/{job}.{x} void_reason")]
    moved = [line for line in leaned if page.holds(moved_if(job, line))]
    ends = [classes for name, classes in page.elements.items() if name.startswith("e.")]
    left = [classes for classes in ends if "done" not in classes]
    return Counts(len(ends), len(left), len(leaned), len(unseen), len(ends) + len(moved))


def card_of(db: Connection, job: JobRow) -> dict[str, Any]:
    """What jobs/show.html shows of a job."""
    found = left_of(db, job)
    joints = car_facts(db, job.car, today().isoformat()).joints
    return found | {
        "forms": kept_at(job.car, "job-forms", forms_mark(job)),
        "path": air_path(db, job.car, apart_from=job.id),
        "live": LiveDrawing(found["k"], {(one.line, one.end): one.id for one in joints}),
        "findings": findings.findings_in(db, job.id),
        "parts": parts.changes_in(db, job.id),
        "photos_found": photos.photos_of(db, "job", job.id),
        "page_id": new_id(),
    }


def left_of(db: Connection, job: JobRow) -> dict[str, Any]:
    """What there still is to do of a job: all that jobs/close.html shows."""
    facts = car_facts(db, job.car, today().isoformat())
    joints, lines = facts.joints, facts.brittle_first
    page = laid_for(db, job)
    return {
        "job": job,
        "off": off_now(page, joints),
        "leaned": [Facts(f"line/{one}", page.known) for one in lines if page.holds(leaned_if(job.id, one))],
        "moved": [Facts(f"line/{one}", page.known) for one in lines if page.holds(moved_if(job.id, one))],
        "counts": counts_of(page, job.id, lines),
        **shared_by_pages(page),
    }


def off_now(page: Laid, joints: list[CarJoint]) -> list[Facts]:
    """The joints that the page shows as taken off."""
    return [Facts(f"joint/{one.id}", page.known) for one in joints if f"e.{one.id}" in page.elements]


def shared_by_pages(page: Laid) -> dict[str, Any]:
    """What every page about a job needs."""
    return {
        "k": page,
        "known": page.known,
        "labels": page.labels,
        "follows": OF_WORK,
        "off_if": off_if,
        "end_rules": end_rules,
        "leaned_if": leaned_if,
        "moved_if": moved_if,
        "units": UNITS,
        "slots": Slots(),
        "form": EMPTY,
        "together": {kind: KINDS[kind].together for kind in _OF_A_JOB if KINDS[kind].together},
    }


#: What a page about a job has no use for in the records of that job: it says so by what it is.
_PLAIN = {"car", "job", "line", "joint"}


def _known(db: Connection, job: JobRow) -> Known:
    found = known(db, "job", id=job.id)
    if entered := first_entered(db, job.id):
        found[f"job/{job.id}"]["entered_at"] = entered
    for kind in ("finding", "part_change"):
        found |= known(db, kind, job=job.id)
    found |= {f"wrench/{one.id}": {"name": one.name} for one in wrenches(db)}
    for kind in ("touch", "loose_end", "check"):
        for ref, fields in known(db, kind, job=job.id).items():
            found[ref] = {name: value for name, value in fields.items() if name not in _PLAIN}
    return found


def _line_classes(ends: Mapping[str, frozenset[str]], line: str) -> frozenset[str]:
    off = {"from": "off", "to": "off-too"}
    return frozenset({"touched", *(name for end, name in off.items() if "off" in ends.get(f"e.{line}.{end}", ()))})


def _classes(page: Laid, job: str, joint: CarJoint) -> frozenset[str]:
    rules = (rule.split(" if ", 1) for rule in end_rules(job, joint).split("; "))
    row = page.of(f"loose_end/{job}.{joint.id}")
    return frozenset(name for name, conditions in rules if row.holds(conditions))
