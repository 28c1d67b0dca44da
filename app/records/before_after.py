"""The logs before and after a job or a day, the pulls in them, and what is known of the air and the tank of each."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from sqlalchemy import Connection

from app.records.garage import Garage
from app.records.jobs import JobRow, closed_jobs, open_jobs
from app.records.kept import kept
from app.records.traces import NoTraceError, TraceRow, figures_of, traces_of
from app.traces.channels import part
from app.traces.comparison import Run
from app.traces.stretches import pulls
from app.traces.trace import Trace

NEAREST = 3
"""How many logs a side are taken unless others are chosen: those nearest to the change."""
OFFERED = 8
"""How many a side can be chosen from."""


@dataclass(frozen=True, slots=True)
class Around:
    """The logs before and after, each the nearest to the change first."""

    before: Sequence[TraceRow]
    after: Sequence[TraceRow]


@dataclass(frozen=True, slots=True)
class LogRuns:
    """One log's pulls. `ambient_kpa` and `intake_c` are medians over them, as logged or, for the air, as stated.

    `why_not` says why there are none, if the log can't be read.
    """

    log: TraceRow
    runs: Sequence[Run]
    ambient_kpa: float | None
    intake_c: float | None
    why_not: str | None


@kept
def jobs_of(db: Connection, car: str) -> list[JobRow]:
    """The jobs a change can be looked for around, the newest first."""
    found = [*open_jobs(db, car), *closed_jobs(db, car, limit=60)]
    return sorted(found, key=lambda one: one.opened_at, reverse=True)


def around(db: Connection, car: str, begins: str, ends: str) -> Around:
    """The logs begun before a moment and after another; those between are of neither."""
    found = [one for one in traces_of(db, car) if one.columns is not None]
    before = [one for one in found if one.begun_at < begins][:OFFERED]
    after = [one for one in reversed(found) if one.begun_at > ends][:OFFERED]
    return Around(before, after)


def runs_of(garage: Garage, log: TraceRow) -> LogRuns:
    """The full-throttle pulls of one log whose gear can be told."""
    try:
        trace = figures_of(garage, log)
    except NoTraceError as why:
        return LogRuns(log, (), log.ambient_kpa, None, str(why))
    found = [Run(log.id, trace, one) for one in pulls(trace) if one.ratio is not None]
    air = _over(trace, found, "barometer", 60)
    return LogRuns(log, found, log.ambient_kpa if air is None else air, _over(trace, found, "intake_air", 5), None)


def _over(trace: Trace, runs: Sequence[Run], name: str, around_s: float) -> float | None:
    near = [part(trace, name, one.pull.begins - around_s, one.pull.ends + around_s)[1] for one in runs]
    figures = np.concatenate(near) if near else np.empty(0)
    return float(np.median(figures)) if figures.size else None
