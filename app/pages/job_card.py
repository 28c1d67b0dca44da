"""What a job's page shows and what it knows: every line, joint and form the job may need, used or not.

The page is a form over the whole car, so that a phone without a connection has all of it: what the job did shows or
hides its parts (app.pages.laid).
"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from app.airpath.words import TOUCH_LABEL, ComponentKind, Hold
from app.pages.forms import EMPTY
from app.pages.laid import Laid
from app.pages.live_drawing import LiveDrawing
from app.pages.torque_doubt import UNITS, ask_of
from app.pages.words import count, inside, plain
from app.records import findings, parts, touches
from app.records.air_path import air_path
from app.records.entry import Value
from app.records.jobs import JobRow
from app.records.known import Known, known
from app.records.leaned_on import leanable
from app.records.loose_ends import CarJoint, joints_of
from app.records.refusals import label_of

#: Clamps that a screw closes give as hose and clamp settle together; a first look after a few heat cycles is usual.
#: (Common practice, no source.)
SETTLES = frozenset({Hold.WORM_DRIVE, Hold.T_BOLT, Hold.FLANGE})

_TOUCHES = {str(how): label.capitalize() for how, label in TOUCH_LABEL.items()}
_LABELS = {
    "how": _TOUCHES,
    "how_part": _TOUCHES | {"clamp_moved": "Fastener moved", "disconnected": "Taken off"},
    "unit": {unit.value: unit.label for unit in UNITS},
    "seated": {"yes": "seated", "no": "not seated"},
    "mark": {"drawn": "mark drawn", "in_line": "mark still in line", "moved": "mark had moved"},
}


class Slots:
    """Stands for a record in a row's template: each of its fields is the place where the phone writes it."""

    def __getattr__(self, name: str) -> str:
        """The place."""
        return f"{{{name}}}"

    @property
    def title(self) -> str:
        """Of a joint: its line and where it is."""
        return "{line.name}, at the {line.@end}"


class Facts:
    """A record the page knows, as a row is written from it: every field as text, empty where there is none."""

    def __init__(self, record: str, known: Known) -> None:
        """Of the record "kind/id"."""
        self.id = record.partition("/")[2]
        self._known = known
        self._fields = known.get(record, {})

    def __getattr__(self, name: str) -> str:
        """A field."""
        return plain(self._fields.get(name))

    @property
    def title(self) -> str:
        """Of a joint: its line and where it is."""
        line = self._known.get(f"line/{self.line}", {})
        return f"{line.get('name')}, at the {line.get(self.end)}"


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


def off_if(job: str, joint: Joint) -> str:
    """When a job took a joint off, as a page's condition; `joint` may be Slots."""
    touch = f"touch/{job}.{joint.line}"
    return f"{touch} how = disconnected|replaced & {touch} ends = both|{joint.end} & ! {touch} void_reason"


def end_rules(job: str, joint: Joint) -> str:
    """The classes of a loose end's row: off, back on, seen (checked at all), done (checked, and good)."""
    check = f"check/{job}.{joint.id}"
    seen = f"{check} done_at & ! {check} void_reason"
    return (
        f"off if ! . back_on_at; on if . back_on_at; seen if {seen}; done if . back_on_at & {check} good = yes & {seen}"
    )


def leaned_if(job: str, line: str) -> str:
    """When a job leaned on a line without taking it off."""
    return f"touch/{job}.{line} how = reached_past|clamp_moved & ! touch/{job}.{line} void_reason"


def moved_if(job: str, line: str) -> str:
    """When it moved a clamp of the line."""
    return f"touch/{job}.{line} how = clamp_moved & ! touch/{job}.{line} void_reason"


def laid_for(db: Connection, job: JobRow) -> Laid:
    """What the page knows of a job and its car, with what its list of loose ends shows."""
    joints = joints_of(db, job.car)
    found = _known(db, job) | _facts(db, job.car, joints)
    page = Laid(found, _LABELS)
    ends = {f"e.{one.id}": _classes(page, job.id, one) for one in joints if page.holds(off_if(job.id, one))}
    touched = {
        f"n.{ref.removeprefix(f'touch/{job.id}.')}": frozenset({"touched"})
        for ref, touch in found.items()
        if ref.startswith("touch/") and not touch.get("void_reason")
    }
    return Laid(found, _LABELS, ends | touched)


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
    joints, lines = joints_of(db, job.car), [one.id for one in leanable(db, job.car)]
    page = laid_for(db, job)
    path = air_path(db, job.car, apart_from=job.id)
    return {
        "job": job,
        "path": path,
        "live": LiveDrawing(page, {(one.line, one.end): one.id for one in joints}),
        "off": off_now(page, joints),
        "leaned": [Facts(f"line/{one}", page.known) for one in lines if page.holds(leaned_if(job.id, one))],
        "moved": [Facts(f"line/{one}", page.known) for one in lines if page.holds(moved_if(job.id, one))],
        "counts": counts_of(page, job.id, lines),
        "findings": findings.findings_in(db, job.id),
        "parts": parts.changes_in(db, job.id),
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
        "off_if": off_if,
        "end_rules": end_rules,
        "leaned_if": leaned_if,
        "moved_if": moved_if,
        "units": UNITS,
        "slots": Slots(),
        "form": EMPTY,
    }


def _known(db: Connection, job: JobRow) -> Known:
    found = known(db, "job", id=job.id)
    for kind in ("touch", "loose_end", "check", "finding", "part_change"):
        found |= known(db, kind, job=job.id)
    return found


def _facts(db: Connection, car: str, joints: list[CarJoint]) -> Known:
    """What the car is made of, as records of the page: the phone makes the rows it needs of them."""
    found: Known = {}
    lines = list(enumerate(leanable(db, car)))
    lines.sort(key=lambda one: (one[1].number is None, one[1].number or 0, one[1].id))
    for number, (brittle, line) in enumerate(lines, 1):
        age = count(line.years, "year") if line.years else ""
        made = label_of(line.material) if line.material else ""
        found[f"line/{line.id}"] = _filled(
            name=line.name,
            number=number,
            brittle=brittle + 1,
            made=made,
            old=", ".join(filter(None, (made, age))),
            **{"from": inside(line.from_name), "to": inside(line.to_name)},
            hot="yes" if line.near_turbo else None,
        )
    for one in joints:
        found[f"joint/{one.id}"] = _joint_facts(one)
    for part in touches.components_of(db, car):
        hot = "yes" if part.kind == ComponentKind.TURBOCHARGER else None
        found[f"component/{part.id}"] = _filled(name=part.name, hot=hot)
    return found


def _joint_facts(joint: CarJoint) -> dict[str, Value]:
    ask = ask_of(joint)
    held = [label_of(joint.hold) if joint.hold else "", ask.figure if ask else ""]
    words = ", ".join(filter(None, held))
    return _filled(
        line=joint.line,
        end=joint.end,
        held=words[:1].upper() + words[1:] or "Nothing known of what holds it",
        hard="yes" if joint.hard_to_reach else None,
        settles="yes" if joint.hold in SETTLES else None,
        torque_unit=joint.torque_unit,
        below=ask.below if ask else None,
        above=ask.above if ask else None,
        limits=ask.limits if ask else None,
    )


def _filled(**fields: Value) -> dict[str, Value]:
    return {name: value for name, value in fields.items() if value}


def _classes(page: Laid, job: str, joint: CarJoint) -> frozenset[str]:
    rules = (rule.split(" if ", 1) for rule in end_rules(job, joint).split("; "))
    row = page.of(f"loose_end/{job}.{joint.id}")
    return frozenset(name for name, conditions in rules if row.holds(conditions))
