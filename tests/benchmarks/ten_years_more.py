"""What ten years leave behind besides jobs, readings and tickets: parts, events, hold tests, photos, logs.

Every so many weeks something of each, so that its page has as much to show as the others.
"""

import io
import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property

from PIL import Image
from sqlalchemy import Connection

from app.photos.reencode import Picture, reencode
from app.records.entry import Entry, Value
from app.records.fields import moment_text
from app.records.log_files import keep
from app.records.photos import Stored, store
from app.records.traces import told_of
from app.traces.read import read
from tests.pages.logged import form_for
from tests.traces.engine import Car
from tests.traces.generator import CYCLE, csv_text, drive

Make = Callable[[str, str, Mapping[str, Value]], Entry]
_EVENTS = ("track_day", "sprint", "long_trip")
_PULLS = tuple((3, 1900.0, 5000.0) for _ in range(3))


@dataclass(frozen=True, slots=True)
class Now:
    """When it is, what the odometer reads, and which week of the story this is."""

    at: datetime
    reads: float
    week: int

    def moment(self, days: float = 0) -> str:
        return moment_text(self.at + timedelta(days=days))

    def day(self, days: int = 0) -> str:
        then: date = (self.at + timedelta(days=days)).date()
        return then.isoformat()


class Rest:
    """All that of one car; what has no table row of its own (pictures, files of logs) is kept as it comes."""

    def __init__(self, make: Make, connection: Connection, car: str, lines: Sequence[str]) -> None:
        self.make, self.connection, self.car, self.lines = make, connection, car, lines
        self.random = random.Random(11)  # noqa: S311  # a story, not a secret

    def begin(self, now: Now) -> Iterator[Entry]:
        """What is there from the first day: the garage's wrenches, groups of fasteners, the list before an event."""
        car = self.car
        wrench: dict[str, Value] = {"name": "Long wrench", "smallest": 40, "largest": 210, "unit": "N.m"}
        yield self.make("wrench", "wrench-long", wrench | {"calibrated_on": now.day()})
        for n, of in enumerate(("wheel", "wheel", "caliper", "caliper", "mounting", "exhaust")):
            figure: dict[str, Value] = {"torque_value": 90 + n, "torque_unit": "N.m", "torque_source": "Workshop notes"}
            yield self.make("fastener", f"{car}.bolts-{n}", {"car": car, "name": f"Bolts {n}", "of": of} | figure)
        for n in range(7):
            yield self.make("must", f"{car}.must-{n}", {"car": car, "what": f"Thing to look at {n}"})
        for n, year in enumerate(("Brakes", "Cooling", "More boost", "Tyres"), 1):
            stage: dict[str, Value] = {"car": car, "step": n, "name": year}
            yield self.make("stage", f"stage-{n}", stage)
        figures: dict[str, Value] = {"car": car, "displacement_l": 1.9, "cylinders": 4, "idle_airflow_gs": 3.2}
        yield self.make("car_figures", car, figures | {"reservoir_l": 2.5, "charge_side_l": 9})
        curve: dict[str, Value] = {"car": car, "curve": "[[2000,0.6],[3000,1.2],[5500,1.1]]", "tolerance": 0.08}
        yield self.make("boost_target", f"{car}.boost", curve | {"unit": "bar", "basis": "gauge", "altitude_m": 120})
        own: dict[str, Value] = {"car": car, "label": "Bracket that rubs", "behaves_like": "boost_control"}
        yield self.make("own_suspect", "own-1", own)

    def week(self, now: Now) -> Iterator[Entry]:
        """What one week brings besides its job."""
        for every, after, brings in (
            (4, 0, self._bolts),
            (6, 1, self._part),
            (9, 2, self._finding),
            (13, 3, self._hold_test),
            (13, 4, self._recheck),
            (26, 5, self._event),
            (26, 6, self._photo),
            (26, 7, self._log),
            (52, 8, self._stopgap),
        ):
            if now.week % every == after:
                yield from brings(now)

    def today(self, now: Now) -> Iterator[Entry]:
        """What is still to come: parts on their way and wanted, with what they need, two hoses for one place."""
        line = self.lines[3]
        for n, state in enumerate(("wanted", "wanted", "ordered", "here", "wanted", "shelf")):
            part: dict[str, Value] = {"car": self.car, "name": f"Hose to come {n}", "kind": "hose", "state": state}
            part |= {"line": line if n < 2 else self.lines[n], "bore_mm": 50 + n, "length_mm": 300, "wall_mm": 5}
            part |= {"stage": f"stage-{1 + n % 4}", "price": 30 + n, "currency": "EUR", "material": "silicone"}
            yield self.make("part", f"part-to-come-{n}", part)
        for n in range(4):
            need: dict[str, Value] = {"part": f"part-to-come-{n}", "needs_part": f"part-to-come-{n + 1}"}
            yield self.make("need", f"part-to-come-{n}.{n + 1}", need)
        for step in ("found", "repaired"):
            yield from self._ticket_at(step, line, now)
        event: dict[str, Value] = {"car": self.car, "name": "Hill sprint", "kind": "sprint", "on_day": now.day(9)}
        yield self.make("event", "event-next", event)

    def _ticket_at(self, step: str, line: str, now: Now) -> Iterator[Entry]:
        about: dict[str, Value] = {"car": self.car, "what": "Hiss by the firewall", "noticed_at": now.moment()}
        about |= {"found_at": now.moment(), "found_line": line}
        done: dict[str, Value] = {"repaired_at": now.moment(), "repaired_how": "for_good"}
        yield self.make("ticket", f"ticket-{step}", about | (done if step == "repaired" else {}))

    def _bolts(self, now: Now) -> Iterator[Entry]:
        for n in range(2):
            done: dict[str, Value] = {"car": self.car, "fastener": f"{self.car}.bolts-{n}", "done_at": now.moment()}
            figure: dict[str, Value] = {"torque_value": 90 + n, "torque_unit": "N.m", "wrench": "wrench-long"}
            yield self.make("check", f"bolts-{now.week}-{n}", done | figure | {"odometer": now.reads})

    def _part(self, now: Now) -> Iterator[Entry]:
        line, part = self.random.choice(self.lines), f"part-{now.week}"
        about: dict[str, Value] = {"car": self.car, "name": f"Hose {now.week}", "kind": "hose", "line": line}
        about |= {"state": "ordered", "ordered_on": now.day(), "expected_on": now.day(10), "source": "A shop"}
        about |= {"price": self.random.randint(8, 90), "currency": "EUR", "stage": f"stage-{1 + now.week % 4}"}
        yield self.make("part", part, about)
        yield self.make("part", part, {"expected_on": now.day(24)})
        job = f"job-{now.week}"
        fitted: dict[str, Value] = {"state": "fitted", "fitted_at": now.moment(), "fitted_odometer": now.reads}
        yield self.make("part", part, fitted | {"job": job, "arrived_on": now.day()})
        change: dict[str, Value] = {"job": job, "line": line, "off_part": "Old hose", "on_part": f"Hose {now.week}"}
        yield self.make("part_change", f"change-{now.week}", change | {"at": now.moment()})

    def _finding(self, now: Now) -> Iterator[Entry]:
        seen: dict[str, Value] = {"car": self.car, "job": f"job-{now.week}", "line": self.random.choice(self.lines)}
        seen |= {"what": "Rubbed, not through", "weight": "watch", "seen_at": now.moment()}
        yield self.make("finding", f"finding-{now.week}", seen)
        settled: dict[str, Value] = {"settled_at": now.moment(), "settled_how": "Sleeved"}
        yield self.make("finding", f"finding-{now.week}", settled)

    def _hold_test(self, now: Now) -> Iterator[Entry]:
        test: dict[str, Value] = {"car": self.car, "line": self.random.choice(self.lines), "medium": "vacuum"}
        test |= {"unit": "inHg", "start_value": 18, "end_value": round(17.5 - self.random.random(), 2)}
        test |= {"started_at": now.moment(-60 / 86_400), "ended_at": now.moment(), "readings": "20 17.8; 40 17.6"}
        yield self.make("hold_test", f"hold-{now.week}", test | {"limit_loss": 1, "limit_s": 60, "volume_ml": 300})

    def _recheck(self, now: Now) -> Iterator[Entry]:
        again: dict[str, Value] = {"car": self.car, "line": self.random.choice(self.lines), "what": "Clamp again"}
        again |= {"since_at": now.moment(), "since_odometer": now.reads, "after_distance": 100}
        yield self.make("recheck", f"recheck-{now.week}", again)
        yield self.make("recheck", f"recheck-{now.week}", {"done_at": now.moment()})

    def _event(self, now: Now) -> Iterator[Entry]:
        event, kind = f"event-{now.week}", _EVENTS[now.week // 26 % 3]
        yield self.make(
            "event", event, {"car": self.car, "name": f"Day {now.week}", "kind": kind, "on_day": now.day(3)}
        )
        for n in range(7):
            seen: dict[str, Value] = {"event": event, "must": f"{self.car}.must-{n}", "good": True}
            yield self.make("looked_at", f"{event}.{self.car}.must-{n}", seen | {"looked_at": now.moment()})
        yield self.make("event", event, {"signed_at": now.moment(), "signed_by": "M."})

    def _photo(self, now: Now) -> Iterator[Entry]:
        of: dict[str, Value] = {"car": self.car, "job": f"job-{now.week}", "taken_at": now.moment()}
        one, made = f"photo-{now.week}", self._picture
        store(self.connection, Stored(one, made.jpeg, made.width, made.height, made.sent_sha256, now.moment()))
        yield self.make("photo", one, of | {"note": "The coupler as it was"})

    def _log(self, now: Now) -> Iterator[Entry]:
        log, (text, told) = f"log-{now.week}", self._file
        keep(self.connection, log, io.BytesIO(text), now.moment())
        about: dict[str, Value] = {"car": self.car, "name": f"Drive {now.week}.csv", "begun_at": now.moment(-2)}
        yield self.make("trace", log, about | told)

    def _stopgap(self, now: Now) -> Iterator[Entry]:
        gap: dict[str, Value] = {"car": self.car, "line": self.random.choice(self.lines), "used": "Tape and two ties"}
        gap |= {"fitted_at": now.moment(), "fitted_odometer": now.reads, "limit_distance": 300}
        yield self.make("stopgap", f"stopgap-{now.week}", gap)
        ended: dict[str, Value] = {"ended_at": now.moment(), "ended_how": "The new hose is on"}
        yield self.make("stopgap", f"stopgap-{now.week}", ended)

    @cached_property
    def _picture(self) -> Picture:
        sent = io.BytesIO()
        Image.new("RGB", (800, 600), "grey").save(sent, "JPEG")
        return reencode(sent.getvalue())

    @cached_property
    def _file(self) -> tuple[bytes, dict[str, Value]]:
        """One drive's file, and what the record says of it; every log is of this drive."""
        trace, _ = drive(5, Car(), cycle=CYCLE[:120], pulls=_PULLS)
        text, form = csv_text(trace).encode(), form_for(trace)
        return text, {"columns": form.as_text(), **told_of(read([text], form))}
