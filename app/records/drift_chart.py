"""What the chart of one series shows: its readings as judged, and the jobs and part changes between them."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.baselines import BaselineView, baseline_in, healthy_of
from app.records.drift import JUDGED, Drifting, Point, drifting, judged, to_hold
from app.records.readings import ReadingRow, past_of
from app.records.rows import rows
from app.workings.drift import Judged

#: How many jobs and part changes are marked at most, the latest.
_MARKED = 60


@dataclass(frozen=True, slots=True)
class Work:
    """A job opened, or a part changed in one: `what` is its title, or what went on or came off and where."""

    job: str
    what: str
    at: str
    is_part: int


@dataclass(frozen=True, slots=True)
class DriftChart:
    """The last readings of one series, oldest first, with what is usual, and the work done since the first of them.

    `judged` is None where nothing is usual yet, or too few are marked healthy to judge by; `healthy` says how many are.
    """

    readings: Sequence[ReadingRow]
    usual: BaselineView | None
    judged: Judged | None
    healthy: int
    drifting: Drifting | None
    work: Sequence[Work]


_WORK = """
SELECT id, title, opened_at, 0 FROM job WHERE car = ?1 AND opened_at >= ?2 AND void_reason IS NULL
UNION ALL
SELECT p.job, CASE WHEN p.on_part IS NULL THEN p.off_part || ' off' ELSE p.on_part || ' on' END
              || coalesce(', ' || coalesce(l.name, c.name, p.position), ''), p.at, 1
FROM part_change p JOIN job ON job.id = p.job AND job.car = ?1 AND job.void_reason IS NULL
LEFT JOIN line l ON l.id = p.line LEFT JOIN component c ON c.id = p.component
WHERE p.at >= ?2 AND p.void_reason IS NULL
ORDER BY 3 DESC, 4, 1 LIMIT ?3
"""


def drift_chart(db: Connection, car: str, series: str) -> DriftChart | None:
    """The chart of one series of a car; None where nothing was read yet. A fixed number of queries."""
    readings = past_of(db, car, series, limit=JUDGED)
    if not readings:
        return None
    usual, healthy = baseline_in(db, car, series), healthy_of(db, car).get(series, [])
    held_to = to_hold(usual, healthy) if usual else None
    points = [Point(one.id, one.si, one.taken_at, one.healthy) for one in readings]
    verdict = judged(points, readings[-1].kind, held_to) if held_to else None
    work = rows(db, Work, _WORK, car, readings[0].taken_at, _MARKED)
    return DriftChart(readings, usual, verdict, len(healthy), drifting(db, car).get(series), work[::-1])
