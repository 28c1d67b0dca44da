"""Which of a car's readings drift, since when, and what was touched just before; and all that its chart shows."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from sqlalchemy import Connection

from app.airpath.readings import ReadingKind
from app.records.baselines import LEARN_FROM, BaselineView, healthy_of
from app.records.kept import kept
from app.records.readings import ReadingRow, chart_of, every_series
from app.records.rows import rows
from app.records.shown import Scale
from app.workings.drift import Drift, Judged, Rule, Way, judge, settled
from app.workings.spread import EDGE_SPREADS, Baseline

#: How many of the latest readings are judged: as many as what is usual is learned from.
JUDGED = LEARN_FROM

#: Which chart judges a kind of reading; why is said on the page (RULE_SAID).
RULE_OF: Mapping[ReadingKind, Rule] = {
    ReadingKind.IDLE_VACUUM: Rule.EWMA,
    ReadingKind.FIRST_START_VACUUM: Rule.EWMA,
    ReadingKind.AIRFLOW_IDLE: Rule.EWMA,
    ReadingKind.FUEL_TRIM_IDLE: Rule.CUSUM,
    ReadingKind.FUEL_TRIM_LOAD: Rule.CUSUM,
    ReadingKind.PEAK_BOOST: Rule.CUSUM,
    ReadingKind.STEADY_BOOST: Rule.CUSUM,
    ReadingKind.VACUUM_RECOVERY: Rule.INDIVIDUALS,
    ReadingKind.FREE: Rule.INDIVIDUALS,
}

#: What a drift says of the sign its kind answers, where that sign has a word for it.
OUTCOME_OF: Mapping[tuple[ReadingKind, Way], str] = {
    (ReadingKind.IDLE_VACUUM, Way.UP): "slightly_low",
    (ReadingKind.PEAK_BOOST, Way.DOWN): "slightly_low",
    (ReadingKind.PEAK_BOOST, Way.UP): "over_target",
    (ReadingKind.STEADY_BOOST, Way.DOWN): "slightly_low",
    (ReadingKind.STEADY_BOOST, Way.UP): "over_target",
    (ReadingKind.VACUUM_RECOVERY, Way.UP): "slow",
    (ReadingKind.FUEL_TRIM_IDLE, Way.UP): "adding",
    (ReadingKind.FUEL_TRIM_IDLE, Way.DOWN): "removing",
    (ReadingKind.FUEL_TRIM_LOAD, Way.UP): "adding",
    (ReadingKind.FUEL_TRIM_LOAD, Way.DOWN): "removing",
}
#: Ways in which a kind goes that are a fault's, though the sign has to be asked for.
_FAULTY = {*OUTCOME_OF, (ReadingKind.FIRST_START_VACUUM, Way.UP), (ReadingKind.AIRFLOW_IDLE, Way.UP)}


@dataclass(frozen=True, slots=True)
class Point:
    """One reading as it is judged: SI figure, when, and whether the car was running right."""

    id: str
    si: float
    taken_at: str
    healthy: int


@dataclass(frozen=True, slots=True)
class Touched:
    """The last job that touched anything before a drift. `within`: after the last reading that was still as usual."""

    job: str
    title: str
    at: str
    things: tuple[str, ...]
    within: bool


@dataclass(frozen=True, slots=True)
class Drifting:
    """One kind of reading that drifts at its latest, `last`: since the reading `since_id`, taken at `since`.

    `before` is when the last one was taken that was as usual, None where there is none; `count` how many have been off
    since; `off` by how much in the mean, on the scale of the latest, below nought where it reads lower than usual.
    """

    last: ReadingRow
    drift: Drift
    since_id: str
    since: str
    before: str | None
    count: int
    off: float
    touched: Touched | None

    @property
    def says(self) -> str:
        """`1.2 inHg lower than usual`."""
        scale = self.last.scale
        return f"{scale.spread(abs(self.off))} {scale.unit_label} {'lower' if self.off < 0 else 'higher'} than usual"

    @property
    def outcome(self) -> str | None:
        """What it says of the sign this kind of reading answers; None where no answer has a word for it."""
        return OUTCOME_OF.get((self.last.kind, self.drift.way))

    @property
    def is_faulty(self) -> bool:
        """Whether it went the way a fault sends it; better vacuum is none by itself."""
        return (self.last.kind, self.drift.way) in _FAULTY or self.last.kind is ReadingKind.FREE

    @property
    def address(self) -> str:
        """Where its chart is."""
        return chart_of(self.last.address)


# From one series to the next by index, then the last few of each: a look-up per series, however long the record.
_POINTS = f"""
SELECT r.series, r.id, r.si, r.taken_at, r.healthy
FROM json_each(?2) one CROSS JOIN reading r ON r.rowid IN (
  SELECT rowid FROM reading p INDEXED BY ix_reading_past
  WHERE p.car = ?1 AND p.series = one.value AND p.void_reason IS NULL
  ORDER BY p.taken_at DESC LIMIT {JUDGED})
ORDER BY r.series, r.taken_at, r.id
"""
# Of each drift the last few touches before it: those of the newest one's job are told.
_TOUCHED = """
SELECT one.key, t.job, job.title, t.at, coalesce(l.name, c.name)
FROM json_each(?2) one CROSS JOIN touch t ON t.id IN (
  SELECT id FROM touch INDEXED BY ix_touch_past
  WHERE car = ?1 AND at <= one.value AND void_reason IS NULL ORDER BY at DESC, id DESC LIMIT 6)
JOIN job ON job.id = t.job AND job.void_reason IS NULL
LEFT JOIN line l ON l.id = t.line LEFT JOIN component c ON c.id = t.component
ORDER BY one.key, t.at DESC, t.id DESC
"""


@kept
def drifting(db: Connection, car: str) -> dict[str, Drifting]:
    """Every series of the car that drifts, by series, in a number of queries that does not grow with the record."""
    latest = {past[-1].series: (past[-1], usual) for past, usual in every_series(db, car) if usual is not None}
    healthy = healthy_of(db, car)
    held_to = {series: to_hold(usual, healthy.get(series, [])) for series, (_, usual) in latest.items()}
    asked = [series for series, usual in held_to.items() if usual is not None]
    found: dict[str, Drifting] = {}
    if asked:
        points = rows(db, lambda series, *point: (series, Point(*point)), _POINTS, car, json.dumps(asked))
        for series, group in groupby(points, key=lambda one: one[0]):
            (last, _), usual = latest[series], held_to[series]
            if usual is not None and (one := _drifts([point for _, point in group], last, usual)):
                found[series] = one
    return _with_touches(db, car, found) if found else found


def to_hold(view: BaselineView, healthy: Sequence[tuple[str, float, float]]) -> Baseline | None:
    """What a series is held to: its baseline as stated; else where it settled, if enough are marked healthy.

    `healthy` are those it learns from, as records.baselines.healthy_of gives them. Where it settled has the centre of
    the baseline as learned, and a spread that a drift does not widen.
    """
    if view.typed:
        return view.usual
    return settled([si for _, si, _ in healthy], min((step for *_, step in healthy), default=0.0))


def judged(points: Sequence[Point], what: ReadingKind, usual: Baseline) -> Judged:
    """The readings of one series, oldest first, judged by the chart of their kind."""
    return judge([point.si for point in points], usual, RULE_OF[what])


def _drifts(points: Sequence[Point], last: ReadingRow, usual: Baseline) -> Drifting | None:
    drift = judged(points, last.kind, usual).drift
    if drift is None:
        return None
    first = points[drift.since]
    before = points[drift.since - 1].taken_at if drift.since else None
    scale = last.scale
    off = scale.shown(usual.centre + drift.shift) - scale.shown(usual.centre)
    return Drifting(last, drift, first.id, first.taken_at, before, len(points) - drift.since, off, None)


def _with_touches(db: Connection, car: str, found: Mapping[str, Drifting]) -> dict[str, Drifting]:
    since = {series: one.since for series, one in found.items()}
    touches: dict[str, list[tuple[str, str, str, str | None]]] = {}
    for series, *touch in rows(db, lambda *row: row, _TOUCHED, car, json.dumps(since)):
        touches.setdefault(series, []).append((touch[0], touch[1], touch[2], touch[3]))
    return {series: _with(one, touches.get(series, [])) for series, one in found.items()}


def _with(one: Drifting, touches: Sequence[tuple[str, str, str, str | None]]) -> Drifting:
    if not touches:
        return one
    job, title, at, _ = touches[0]
    things = dict.fromkeys(name for of, _, _, name in touches if of == job and name)
    touched = Touched(job, title, at, tuple(things), one.before is None or at > one.before)
    return Drifting(one.last, one.drift, one.since_id, one.since, one.before, one.count, one.off, touched)


def band(view: BaselineView, scale: Scale) -> tuple[float, float]:
    """The least and greatest figure that is still usual, as shown on `scale`."""
    reach = EDGE_SPREADS * view.usual.spread
    low, high = sorted(scale.border(view.usual.centre + side * reach) for side in (-1, 1))
    return low, high
