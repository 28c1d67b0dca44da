"""What a log shows, judged by the car's own baselines: readings it could become, and signs it speaks for.

Nothing here is entered. A reading taken from a log has an id that follows from the log and what was read where, so that
it is the same reading on whichever phone it is tapped, and however often.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import NamedTuple

from sqlalchemy import Connection

from app.airpath.readings import READINGS, Condition, ReadingKind
from app.records.baselines import BaselineView, baselines
from app.records.entry import Value
from app.records.fields import is_record_id, moment_text
from app.records.judged import Read, outcome_of
from app.records.kinds.reading import series_of
from app.records.known import Known
from app.records.rows import rows
from app.records.shown import Scale
from app.records.tickets import TicketRow, unproved
from app.records.traces import TraceRow
from app.traces.measures import shown
from app.traces.shown import Shown, chosen
from app.traces.stretches import Stretch, stretches
from app.traces.trace import Trace
from app.triage.signs import SIGNS
from app.workings.atmosphere import STANDARD_KPA

_PLACES = {"kPa": 1, "s": 2, "%": 1, "g/s": 2, "rpm": 0}


@dataclass(frozen=True, slots=True)
class Proposal:
    """One thing a log shows, as it could be kept. `value` is as it would be entered, rounded.

    `reading_id` is None for what is no reading; `outcome` and `phrase` for what speaks for no sign. `usual` says what
    the car's own baseline is, where it has one.
    """

    shown: Shown
    value: float
    basis: str | None
    barometer_kpa: float | None
    reading_id: str | None
    taken_at: str
    sign: str | None
    outcome: str | None
    phrase: str | None
    usual: str | None

    @property
    def is_fault(self) -> bool:
        """Whether it speaks for something being wrong."""
        return self.sign is not None and self.outcome != SIGNS[self.sign].healthy

    @property
    def places(self) -> int:
        """How many decimals the figure is written with."""
        return _PLACES[self.shown.unit]


@dataclass(frozen=True, slots=True)
class LogShows:
    """Everything a log shows: its stretches, what could be kept of them, and the tickets a sign could go to."""

    stretches: Sequence[Stretch]
    proposals: Sequence[Proposal]
    tickets: Sequence[TicketRow]
    known: Known


class _Kept(NamedTuple):
    """A reading that was kept and whether it counts as healthy; or a sign that was noted, and its outcome."""

    id: str
    says: str | int | None


class Seen(NamedTuple):
    """What a log's figures show by themselves: its stretches, and what of them is worth telling."""

    stretches: Sequence[Stretch]
    things: Sequence[Shown]


def seen_in(trace: Trace, ambient_kpa: float | None) -> Seen:
    """What a log shows by itself; `ambient_kpa` is the air it was taken in, where it does not say."""
    found = stretches(trace)
    return Seen(found, chosen(shown(trace, found, ambient_kpa)))


def log_shows(db: Connection, log: TraceRow, seen: Seen) -> LogShows:
    """What a log shows, judged by what is usual for its car, in a fixed number of queries."""
    proposals = _judged(log, seen.things, baselines(db, log.car))
    open_ones = [one for one in unproved(db, log.car) if one.stands == "open"]
    ids = [one.reading_id for one in proposals if one.reading_id]
    marks = ", ".join("?" * len(ids))
    sql = f"SELECT id, healthy FROM reading WHERE void_reason IS NULL AND id IN ({marks})"
    kept = rows(db, _Kept, sql, *ids) if ids else []
    known: dict[str, dict[str, Value]] = {f"reading/{one.id}": {"healthy": "yes" if one.says else "no"} for one in kept}
    if open_ones:
        marks = ", ".join("?" * len(open_ones))
        sql = f"SELECT id, outcome FROM sign WHERE void_reason IS NULL AND ticket IN ({marks})"
        signs = rows(db, _Kept, sql, *(one.id for one in open_ones))
        known |= {f"sign/{one.id}": {"outcome": one.says} for one in signs}
    return LogShows(seen.stretches, proposals, open_ones, known)


def reading_id_of(log: str, one: Shown) -> str | None:
    """The id of the reading this would be; None for what is none, or where the log's own id leaves no room for more."""
    if one.reading is None:
        return None
    made = f"{log}.{one.key}.{round(one.begins * 10)}"
    return made if is_record_id(made) else None


def _judged(log: TraceRow, things: Sequence[Shown], own: Mapping[str, BaselineView]) -> list[Proposal]:
    begun = datetime.fromisoformat(log.begun_at)
    warm: str | None = None
    found: list[Proposal] = []
    for one in things:
        read = _read(one)
        outcome = one.outcome
        if outcome is None and one.sign is not None and read is not None:
            outcome = outcome_of(one.sign, read, own, warm)
        if one.sign == "idle_vacuum":
            warm = outcome
        series = series_of(one.reading, one.condition or Condition.ANY, one.free_name, one.unit) if one.reading else ""
        usual = own.get(series)
        found.append(
            Proposal(
                one,
                round(one.value, _PLACES[one.unit]) + 0.0,
                read.basis if read else None,
                round(one.ambient_kpa, 1) if one.ambient_kpa is not None else None,
                reading_id_of(log.id, one),
                moment_text(begun + timedelta(seconds=math.floor(one.begins))),
                one.sign if outcome else None,
                outcome,
                SIGNS[one.sign].phrase(outcome) if one.sign and outcome else None,
                usual.figures(_scale(one, usual)) if usual else None,
            )
        )
    return sorted(found, key=lambda each: not each.is_fault)  # what is wrong stands first


def _scale(one: Shown, usual: BaselineView) -> Scale:
    """What is usual, on the scale the log's own figure is told on; a barometer it has none of is the usual day's."""
    if one.reading is None or READINGS[one.reading].quantity != "pressure":
        return usual.scale
    return Scale(one.reading, one.unit, "absolute", one.ambient_kpa)


def _read(one: Shown) -> Read | None:
    if one.reading is None or one.condition is None or one.reading is ReadingKind.FREE:
        return None
    pressure = READINGS[one.reading].quantity == "pressure"
    air = (one.ambient_kpa if one.ambient_kpa is not None else STANDARD_KPA) if pressure else None
    return Read(one.reading, one.condition, one.value, one.unit, "absolute" if pressure else None, one.value, air)
