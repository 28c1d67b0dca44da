"""One job of the demo garage's story, told as the entries made while it was done."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Protocol

from app.airpath.words import End, TouchKind
from app.records.entry import Value
from app.records.fields import moment_text

_KINDS = (TouchKind.REACHED_PAST, TouchKind.CLAMP_MOVED, TouchKind.DISCONNECTED, TouchKind.REPLACED)
_OWN_FIELDS = ("title", "air_temp_c", "engine_cold", "note")

#: When it happened, kind, record, fields.
Step = tuple[datetime, str, str, Mapping[str, Value]]


class Teller(Protocol):
    """What a job needs of the story it is part of (demo_story.Telling)."""

    @property
    def car(self) -> str:
        """The car's id."""

    @property
    def lines(self) -> frozenset[str]:
        """The keys of its lines."""

    @property
    def torques(self) -> Mapping[str, Mapping[str, Value]]:
        """The torque its maker gives for a joint, by the joint's key, as a check writes it."""

    def moment(self, text: str) -> datetime:
        """When `text` means."""

    def reads(self, when: datetime) -> int:
        """The odometer then."""

    def own(self, key: str) -> str:
        """The id of a record of the car."""


def job_entries(story: Teller, job: Mapping[str, Any]) -> Iterator[Step]:
    """Open the job, touch what it touched, put back and check every joint not in `left_off`, note the rest, close it.

    `reached_past`, `clamp_moved`, `disconnected` and `replaced` list lines and components by key; `hose.to` means that
    only that end of the hose came off. Without `hours` the job is still open.
    """
    opened = story.moment(job["opened"])
    record = story.own(job["id"])
    own: dict[str, Value] = {name: job[name] for name in _OWN_FIELDS if name in job}
    at: dict[str, Value] = {"car": story.car, "opened_at": moment_text(opened), "odometer": story.reads(opened)}
    yield opened, "job", record, at | own
    minutes = Minutes(opened + timedelta(minutes=12))
    joints: list[str] = []
    for how in _KINDS:
        for named in job.get(how, ()):
            key, ends = _ends(named)
            yield _touch(story, minutes.next(4), record, how, named)
            if how in {TouchKind.DISCONNECTED, TouchKind.REPLACED} and key in story.lines:
                joints += [f"{key}.{end}" for end in End if ends in {"both", end}]
    yield from _parts(story, minutes, record, job.get("part", ()))
    left_off = frozenset(job.get("left_off", ()))
    for joint in reversed(joints):  # last off, first back on
        if joint not in left_off:
            yield from _back_on(story, minutes, record, joint)
    for number, finding in enumerate(job.get("finding", ()), 1):
        yield _finding(story, minutes.next(3), f"{record}.seen.{number}", record, finding)
    if "hours" in job:
        closed = max(opened + timedelta(hours=job["hours"]), minutes.next(5))
        carried = {"carried_reason": job["carried_reason"]} if "carried_reason" in job else {}
        yield closed, "job", record, {"closed_at": moment_text(closed)} | carried


class Minutes:
    """The clock of one job: each thing done a few minutes after the one before."""

    def __init__(self, start: datetime) -> None:
        """Start at `start`."""
        self.now = start

    def next(self, minutes: int) -> datetime:
        """The moment `minutes` on."""
        self.now += timedelta(minutes=minutes)
        return self.now


def _ends(named: str) -> tuple[str, str]:
    key, _, end = named.partition(".")
    return key, end or "both"


def _touch(story: Teller, when: datetime, job: str, how: TouchKind, named: str) -> Step:
    key, ends = _ends(named)
    thing = story.own(key)
    about = {"line": thing, "ends": ends} if key in story.lines else {"component": thing}
    return when, "touch", f"{job}.{thing}", {"job": job, "how": how, "at": moment_text(when)} | about


def _back_on(story: Teller, minutes: Minutes, job: str, joint_key: str) -> Iterator[Step]:
    joint = story.own(joint_key)
    when = minutes.next(3)
    yield when, "loose_end", f"{job}.{joint}", {"job": job, "joint": joint, "back_on_at": moment_text(when)}
    when = minutes.next(2)
    about: dict[str, Value] = {"car": story.car, "job": job, "joint": joint, "done_at": moment_text(when)}
    found: dict[str, Value] = {"seated": True, "mark": "drawn"}
    yield when, "check", f"{job}.{joint}", {**about, **found, **story.torques.get(joint_key, {})}


def _parts(story: Teller, minutes: Minutes, job: str, parts: Sequence[Mapping[str, Any]]) -> Iterator[Step]:
    for number, part in enumerate(parts, 1):
        when = minutes.next(4)
        key = part.get("line") or part.get("component")
        about: dict[str, Value] = {"position": part.get("position")}
        if key:
            about = {"line" if key in story.lines else "component": story.own(key)}
        rest = {name: part[name] for name in ("off_part", "on_part", "note") if name in part}
        yield when, "part_change", f"{job}.part.{number}", {"job": job, "at": moment_text(when)} | about | rest
        if key:
            fitted: dict[str, Value] = {"fitted_on": when.date().isoformat(), "fitted_odometer": story.reads(when)}
            if key in story.lines:
                material = {"material": part["material"]} if "material" in part else {}
                fitted |= {"state": "replaced", "part": part["on_part"]} | material
            yield when, "line" if key in story.lines else "component", story.own(key), fitted


def _finding(story: Teller, when: datetime, record: str, job: str, finding: Mapping[str, Any]) -> Step:
    about: dict[str, Value] = {name: story.own(finding[name]) for name in ("line", "component") if name in finding}
    fields: dict[str, Value] = {"car": story.car, "job": job, "seen_at": moment_text(when)}
    return when, "finding", record, fields | about | {"what": finding["what"], "weight": finding.get("weight", "note")}
