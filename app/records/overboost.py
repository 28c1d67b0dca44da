"""Boost over target in logs: where, and whether somebody looked at it.

Where follows from a log's figures and the car's target as it stands. It is kept beside the arrays of the log under a
name of both, so that a page of the car need not go through an hour of figures; it is made again where it is not there.
"""

import hashlib
import json
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass

from sqlalchemy import Connection

from app.records.boost_targets import TargetView
from app.records.cautions import OVER_TARGET_READ
from app.records.garage import Garage
from app.records.memo import Memo
from app.records.rows import rows
from app.records.shown import written
from app.records.traces import NoTraceError, TraceRow, trace_of
from app.traces.over_target import JOINED_S, LEAST_SAMPLES, Stretch, stretches_over
from app.workings.boost_target import BoostTarget

_AT_HAND: Memo[Sequence[Stretch] | None] = Memo(256)
#: How many of a car's last logs that nobody looked at yet are gone through for its page.
_LAST = 5
_UNSEEN = f"""
SELECT t.id, t.name, t.begun_at, f.sha256, t.columns, t.ambient_kpa FROM trace t JOIN log_file f ON f.id = t.id
WHERE t.car = ? AND t.void_reason IS NULL AND t.columns IS NOT NULL
  AND NOT EXISTS (SELECT 1 FROM overboost o WHERE o.id = t.id AND o.void_reason IS NULL)
ORDER BY t.begun_at DESC, t.id LIMIT {_LAST}
"""


@dataclass(frozen=True, slots=True)
class UnseenLog:
    """A log nobody looked at yet, with what its figures follow from."""

    id: str
    name: str
    begun_at: str
    sha256: str | None
    columns: str | None
    ambient_kpa: float | None


@dataclass(frozen=True, slots=True)
class OverInLog:
    """A log in which the boost went over, for the page of its car."""

    log: UnseenLog
    stretches: Sequence[Stretch]
    says: str
    caution: str = OVER_TARGET_READ


def over_in(garage: Garage, log: UnseenLog | TraceRow, view: TargetView | None) -> Sequence[Stretch]:
    """Where a log went over the car's target; nothing where there is no target, or the log's figures are not here."""
    return () if view is None else _over(garage, log, view.target)


def _mark(target: BoostTarget) -> str:
    return json.dumps([asdict(target), JOINED_S, LEAST_SAMPLES])


def _over(garage: Garage, log: UnseenLog | TraceRow, target: BoostTarget) -> Sequence[Stretch]:
    if log.sha256 is None or log.columns is None:
        return ()
    aim = (*target.points, target.tolerance_kpa, target.limit_kpa)
    found = _AT_HAND.get(
        (str(garage.settings.data), log.id, log.sha256, log.columns, log.ambient_kpa, aim),
        lambda: _written_or_found(garage, log, target),
        keep=lambda one: one is not None,  # what is not here yet may come
    )
    return found or ()


def _written_or_found(garage: Garage, log: UnseenLog | TraceRow, target: BoostTarget) -> Sequence[Stretch] | None:
    told = f"{log.sha256} {log.columns} {log.ambient_kpa!r} {_mark(target)}"
    own = hashlib.sha256(log.id.encode()).hexdigest()[:16]
    path = garage.settings.cache / f"{own}.{hashlib.sha256(told.encode()).hexdigest()[:32]}.over"
    try:
        return tuple(Stretch(**one) for one in json.loads(path.read_bytes()))
    except (OSError, ValueError, TypeError):
        pass
    try:
        found = stretches_over(trace_of(garage, log.id), target)
    except NoTraceError:
        return None
    with suppress(OSError):
        for old in path.parent.glob(f"{own}.*.over"):
            old.unlink(missing_ok=True)
        path.write_text(json.dumps([asdict(one) for one in found]))
    return found


def over_in_logs(garage: Garage, db: Connection, car: str, view: TargetView | None) -> list[OverInLog]:
    """The car's last logs that went over its target and that nobody looked at yet, newest first."""
    if view is None:
        return []
    found = ((log, _over(garage, log, view.target)) for log in rows(db, UnseenLog, _UNSEEN, car))
    return [OverInLog(log, over, said(worst_of(over), view)) for log, over in found if over]


def worst_of(stretches: Sequence[Stretch]) -> Stretch:
    """The stretch furthest over."""
    return max(stretches, key=lambda one: one.off_kpa)


def said(one: Stretch, view: TargetView) -> str:
    """`0.25 bar over the target at 4 100 rpm`, in the target's own unit."""
    scale = view.scale
    off = f"{scale.figure(one.off_kpa / scale.one)} {scale.unit_label}"
    where = "the highest target" if one.rpm is None else f"the target at {written(one.rpm, 0)} rpm"
    return f"{off} over {where}{', and above the limit' if one.is_limit else ''}"


def reads(one: Stretch, view: TargetView) -> str:
    """`1.28 bar`: the boost at its worst, on the target's own scale."""
    return f"{view.scale.figure(view.scale.shown(one.kpa))} {view.scale.unit_label}"


def is_looked_at(db: Connection, log: str) -> bool:
    """Whether somebody looked at what a log shows over target."""
    return bool(rows(db, lambda found: found, "SELECT 1 FROM overboost WHERE id = ? AND void_reason IS NULL", log))
