"""Re-checks: what is to be looked at again, and how much of its limit has gone by."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Literal

from sqlalchemy import Connection

from app.records.gone_by import EVENT_GONE, JOB_GONE
from app.records.rows import row, rows

DueState = Literal["due", "soon", "later"]

#: From this share of a limit on, a re-check is due soon. (Our own figure: the last third is time enough to plan it.)
SOON = 2 / 3


@dataclass(frozen=True, slots=True)
class RecheckRow:
    """One re-check that is not done. Distances are in the car's unit; what is not known to have gone by is None.

    `event_gone` is the name of the first event since that is over, `job_gone` the title of the first job since that
    moved what this is about; None while there is none, or it is not asked for.
    """

    id: str
    car: str
    car_name: str
    distance_unit: str
    joint: str | None
    line: str | None
    component: str | None
    fastener: str | None
    place: str | None
    what: str
    since_at: str
    after_heat_cycles: int | None
    after_distance: float | None
    after_days: int | None
    after_event: int | None
    after_job: int | None
    heat_cycles: int
    distance: float | None
    event_gone: str | None
    job_gone: str | None
    done_at: str | None
    note: str | None

    @property
    def days(self) -> int:
        """Whole days since it began to count."""
        return max(0, (datetime.now(UTC) - datetime.fromisoformat(self.since_at)).days)

    @property
    def used(self) -> float:
        """The share of its limit gone by, of whichever limit is nearest; 1 and more is due."""
        pairs = (
            (self.heat_cycles, self.after_heat_cycles),
            (self.distance, self.after_distance),
            (self.days, self.after_days),
        )
        shares = [gone / limit for gone, limit in pairs if limit and gone is not None]
        return max([*shares, *(1.0 for one in (self.event_gone, self.job_gone) if one is not None)], default=0.0)

    @property
    def state(self) -> DueState:
        """Due once any one of its limits is reached."""
        return "due" if self.used >= 1 else "soon" if self.used >= SOON else "later"

    @property
    def sentence(self) -> str:
        """When it is due and what of that is done: "Due after 3 heat cycles, 2 done"."""
        said = []
        if self.after_heat_cycles:
            cycles = "heat cycle" if self.after_heat_cycles == 1 else "heat cycles"
            said.append(f"{self.after_heat_cycles} {cycles}, {self.heat_cycles} done")
        if self.after_distance:
            gone = "not known how far" if self.distance is None else f"{self.distance:.0f} done"
            said.append(f"{self.after_distance:.0f} {self.distance_unit}, {gone}")
        if self.after_days:
            said.append(f"{self.after_days} {'day' if self.after_days == 1 else 'days'}, {self.days} gone by")
        if self.after_event:
            said.append(f"an event: {self.event_gone}" if self.event_gone else "the next event")
        if self.after_job:
            said.append(f"a job that moved it: {self.job_gone}" if self.job_gone else "the next job that moves it")
        return f"{'Due now: ' if self.state == 'due' else 'Due '}after " + ", or ".join(said)


_SELECT = f"""
SELECT x.id, x.car, car.name, car.distance_unit, x.joint, x.line, x.component, x.fastener,
       coalesce(jl.name, l.name, c.name, f.name),
       x.what, x.since_at, x.after_heat_cycles, x.after_distance, x.after_days, x.after_event, x.after_job,
       (SELECT coalesce(sum(heat_cycles), 0) FROM drive
        WHERE car = x.car AND at > x.since_at AND void_reason IS NULL),
       (SELECT reads FROM odometer WHERE car = x.car ORDER BY at DESC LIMIT 1)
       - coalesce(x.since_odometer,
                  (SELECT reads FROM odometer WHERE car = x.car AND at <= x.since_at ORDER BY at DESC LIMIT 1)),
       {EVENT_GONE}, {JOB_GONE},
       x.done_at, x.note
FROM recheck x JOIN car ON car.id = x.car
LEFT JOIN joint j ON j.id = x.joint LEFT JOIN line jl ON jl.id = j.line
LEFT JOIN line l ON l.id = x.line LEFT JOIN component c ON c.id = x.component
LEFT JOIN fastener f ON f.id = x.fastener
WHERE x.void_reason IS NULL
"""


def recheck(connection: Connection, recheck_id: str) -> RecheckRow | None:
    """One re-check, done or not; None if there is no such re-check."""
    return row(connection, RecheckRow, f"{_SELECT} AND x.id = ?", recheck_id)


def due(connection: Connection, car: str) -> list[RecheckRow]:
    """Every re-check of the car still to be done, the longest set first."""
    where = "AND x.car = ? AND x.done_at IS NULL ORDER BY x.since_at, x.id"
    return rows(connection, RecheckRow, f"{_SELECT} {where}", car)


def checks_of(connection: Connection, recheck_id: str) -> list[str]:
    """The ids of the checks that did this re-check."""
    return rows(connection, str, "SELECT id FROM joint_check WHERE recheck = ? AND void_reason IS NULL", recheck_id)
