"""The demo garage's story: read from seed_data/demo/, told as the entries its people would have made.

A text that begins with `@` stands for something that hangs on the day the story is told: `@9 18:30` is half past six
nine days ago, `@3h` three hours ago, `@day -14` the date in fourteen days, `@km 9 18:30` the odometer then. Names of
lines, components, joints, jobs and so on are given without the car's id in front.
"""

import re
import tomllib
import uuid
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from pathlib import Path
from typing import Any

from app.airpath.layouts import StarterLayout, load
from app.airpath.words import End, Layout
from app.records.demo_hoses import candidates
from app.records.demo_job import job_entries
from app.records.demo_plan import plan_entries
from app.records.demo_running import running_entries
from app.records.demo_torque import torque_told
from app.records.entry import Entry, Value
from app.records.fields import moment_text
from app.records.starting import car_entries
from app.settings import shipped

#: Ids follow from this and a count, so that the same day always tells the same story.
_NAMESPACE = uuid.UUID("6f0d3ad5-6b5c-4c9a-9d5e-2f3b8f6d1c11")
_BAY, _BENCH = "phone in the bay", "laptop on the bench"
#: Fields that name another record of the same car.
_OF_CAR = frozenset(
    ("line", "component", "joint", "job", "ticket", "recheck", "found_line", "found_component", "proof_reading")
) | {"reading"}
_WHEN = re.compile(r"@(?:(?P<what>day|km) )?(?P<days>-?\d+)(?P<hours>h)?(?: (?P<clock>\d\d:\d\d))?")

#: One entry before it has a number: when it happened, who entered it, kind, record, fields.
Told = tuple[datetime, str, str, str, Mapping[str, Value]]


@dataclass(frozen=True, slots=True)
class Telling:
    """One car's story as told at one moment: turns what hangs on the day into what an entry holds."""

    car: str
    at: datetime
    odometer: Sequence[tuple[str, float]]
    lines: frozenset[str]
    torques: Mapping[str, Mapping[str, Value]]

    def moment(self, text: str) -> datetime:
        """`@9 18:30` or `@3h` as a moment."""
        found = _WHEN.fullmatch(text)
        if found is None:
            raise ValueError(f"{self.car}: {text} is no moment of this story.")
        count = int(found["days"])
        if found["hours"]:
            return self.at - timedelta(hours=count)
        clock = time.fromisoformat(found["clock"] or "12:00")
        return datetime.combine((self.at - timedelta(days=count)).date(), clock, self.at.tzinfo)

    def reads(self, when: datetime) -> int:
        """The odometer at `when`, between the figures the story gives."""
        known = [self.moment(text) for text, _ in self.odometer]
        after = min(max(bisect_right(known, when), 1), len(known) - 1)
        way = (when - known[after - 1]) / (known[after] - known[after - 1])
        (_, from_), (_, to) = self.odometer[after - 1 : after + 1]
        return round(from_ + (to - from_) * way)

    def fields(self, given: Mapping[str, Any]) -> dict[str, Value]:
        """The story's fields as an entry holds them."""
        return {name: self._value(name, value) for name, value in given.items() if not isinstance(value, (list, dict))}

    def own(self, key: str) -> str:
        """The id of a record of this car; of what there is one of a car, and no more, with an empty key."""
        return f"{self.car}.{key}" if key else self.car

    def _value(self, name: str, value: Any) -> Value:
        if not isinstance(value, str):
            return value  # type: ignore[no-any-return]  # what TOML gives besides text is a number or a yes or no
        if name in _OF_CAR:
            return self.own(value)
        found = _WHEN.fullmatch(value)
        if found is None:
            return value
        if found["what"] == "day":
            return self.moment(value.replace("day ", "")).date().isoformat()
        when = self.moment(value.replace("km ", ""))
        return self.reads(when) if found["what"] == "km" else moment_text(when)


def entries(at: datetime) -> Iterator[Entry]:
    """Every entry of the demo garage as of `at` (with its time zone), in the order entered."""
    folder = shipped("seed_data")
    told = [one for path in sorted((folder / "demo").glob("*.toml")) for one in _car(path, folder / "layouts", at)]
    told += [(when, _BENCH, kind, record, fields) for when, kind, record, fields in candidates(at)]
    for number, (when, by, kind, record, fields) in enumerate(sorted(told, key=lambda one: one[0])):
        text = moment_text(when)
        yield Entry(str(uuid.uuid5(_NAMESPACE, str(number))), kind, record, fields, text, text, by)


def _car(path: Path, layouts: Path, at: datetime) -> Iterator[Told]:
    story: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))
    layout = load(Layout(story["layout"]), layouts)
    joints = dict(_joints(story["joints"]))
    torques = {key: {name: one[name] for name in ("torque_value", "torque_unit")} for key, one in joints.items()}
    telling = Telling(story["id"], at, story["odometer"], frozenset(line.key for line in layout.lines), torques)
    yield from _start(telling, story, layout)
    for job in story["job"]:
        for when, kind, record, fields in job_entries(telling, job):
            yield when, _BAY, kind, record, fields
    yield from _drives(telling, story["drives"])
    for series in story["series"]:
        yield from _series(telling, series, story["car"].get("altitude_m"))
    for ticket in story["ticket"]:
        yield from _ticket(telling, ticket)
    for tool, owned in story.get("tools", {}).items():
        yield telling.moment(story["since"]), _BENCH, "tool", tool, {"tool": tool, "owned": owned}
    if telling.car == "tern":
        yield from ((when, _BENCH, kind, record, fields) for when, kind, record, fields in plan_entries(telling))
    for one in story["entry"]:
        fields = ({} if one["kind"] == "line" else {"car": telling.car}) | telling.fields(one["fields"])
        yield telling.moment(one["when"]), one.get("by", _BENCH), one["kind"], telling.own(one["record"]), fields
    yield from torque_told(telling.car, telling.at)
    for when, kind, record, fields in running_entries(telling):
        yield when, _BAY, kind, record, fields


def _start(telling: Telling, story: Mapping[str, Any], layout: StarterLayout) -> Iterator[Told]:
    when = telling.moment(story["since"])

    def make(kind: str, record: str, fields: Mapping[str, Value]) -> Entry:
        return Entry("", kind, record, fields, "", "", "")

    for one in car_entries(make, telling.car, layout, story["car"]):
        yield when, _BENCH, one.kind, one.record, one.fields
    when += timedelta(minutes=25)  # the layout first, then what is different on this car
    for key, fields in story["lines"].items():
        yield when, _BENCH, "line", telling.own(key), telling.fields(fields)
    for key, fields in _joints(story["joints"]):
        yield when, _BENCH, "joint", telling.own(key), fields


def _joints(given: Sequence[Mapping[str, Any]]) -> Iterator[tuple[str, Mapping[str, Value]]]:
    for one in given:
        torque = {name: value for name, value in one.items() if name != "lines"}
        yield from ((f"{line}.{end}", torque) for line in one["lines"] for end in End)


def _drives(telling: Telling, drives: Sequence[Sequence[Any]]) -> Iterator[Told]:
    for number, (text, heat_cycles, *note) in enumerate(drives, 1):
        when = telling.moment(text)
        fields: dict[str, Value] = {
            "car": telling.car,
            "at": moment_text(when),
            "odometer": telling.reads(when),
            "heat_cycles": heat_cycles,
        }
        yield when, _BAY, "drive", telling.own(f"drive.{number}"), fields | ({"note": note[0]} if note else {})


def _series(telling: Telling, series: Mapping[str, Any], altitude_m: float | None) -> Iterator[Told]:
    name = series.get("name", series["what"])
    same = {key: series[key] for key in ("what", "condition", "unit", "basis", "free_name") if key in series}
    same |= {"car": telling.car, "altitude_m": altitude_m}
    for number, (text, value, healthy) in enumerate(series["rows"], 1):
        when = telling.moment(text)
        read = {"taken_at": moment_text(when), "odometer": telling.reads(when), "value": value, "healthy": healthy}
        yield when, _BAY, "reading", telling.own(f"{name}.{number}"), same | read


def _ticket(telling: Telling, ticket: Mapping[str, Any]) -> Iterator[Told]:
    record = telling.own(ticket["id"])
    when = telling.moment(ticket["fields"]["noticed_at"]) + timedelta(minutes=20)
    yield when, _BAY, "ticket", record, {"car": telling.car} | telling.fields(ticket["fields"])
    for number, (sign, outcome) in enumerate(ticket.get("signs", {}).items(), 1):
        noted = when + timedelta(minutes=number)
        fields = {"ticket": record, "sign": sign, "outcome": outcome, "noted_at": moment_text(noted)}
        yield noted, _BAY, "sign", f"{record}.{sign}", fields
    for number, check in enumerate(ticket.get("check", ()), 1):
        done = telling.moment(check["done_at"])
        yield done, _BAY, "direct_check", f"{record}.look.{number}", {"ticket": record} | telling.fields(check)
    for step in ticket.get("step", ()):
        done = telling.moment(next(value for name, value in step.items() if name.endswith("_at")))
        yield done, _BAY, "ticket", record, telling.fields(step)
