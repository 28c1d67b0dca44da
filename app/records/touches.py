"""What was touched: across a car's jobs, newest first, and within one job."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.kept import kept
from app.records.known import Known
from app.records.rows import row, rows


@dataclass(frozen=True, slots=True)
class TouchRow:
    """One line or component a job disturbed.

    `line` or `component` is its id, the other None; `kind` the line's role or the component's kind. `ends` says which
    joints of a line came off (None where none did), `at_component` what the one end sits on where it was one.
    `odometer` is the job's, else the last figure known then, in the car's unit. `checked`: every joint it took off
    was back on and found good, or the line or component was looked at afterwards and found good.
    """

    id: str
    job: str
    job_title: str
    line: str | None
    component: str | None
    name: str
    kind: str
    material: str | None
    fitted_on: str | None
    how: str
    ends: str | None
    at_component: str | None
    at: str
    odometer: float | None
    air_temp_c: float | None
    engine_cold: int | None
    checked: int


#: Which joint of a line a touch took off: both ends of "both" are its joints.
_OFF = "t.how IN ('disconnected', 'replaced') AND t.line IS NOT NULL"

#: Whether touch `t` was checked by the moment {at}: what was checked after it was not checked then.
CHECKED = f"""
EXISTS (SELECT 1 FROM joint_check k WHERE k.line = t.line AND k.good = 1 AND k.void_reason IS NULL
        AND k.done_at BETWEEN t.at AND {{at}})
OR EXISTS (SELECT 1 FROM joint_check k WHERE k.component = t.component AND k.good = 1 AND k.void_reason IS NULL
           AND k.done_at BETWEEN t.at AND {{at}})
OR ({_OFF} AND NOT EXISTS (
  SELECT 1 FROM joint j
  LEFT JOIN loose_end o ON o.id = t.job || '.' || j.id AND o.void_reason IS NULL
  LEFT JOIN joint_check k ON k.id = t.job || '.' || j.id AND k.void_reason IS NULL AND k.done_at <= {{at}}
  WHERE j.line = t.line AND t.ends IN ('both', j."end") AND j.void_reason IS NULL
  AND (o.back_on_at IS NULL OR k.good IS NOT 1)))
"""

# ?1 is the moment asked about, ?2 how many rows.
_SELECT = f"""
SELECT t.id, t.job, job.title, t.line, t.component, coalesce(l.name, c.name), coalesce(l.role, c.kind), l.material,
       coalesce(l.fitted_on, c.fitted_on), t.how, CASE WHEN {_OFF} THEN t.ends END,
       CASE WHEN {_OFF} THEN e.name END, t.at,
       coalesce(job.odometer, (SELECT reads FROM odometer WHERE car = job.car AND at <= t.at ORDER BY at DESC LIMIT 1)),
       job.air_temp_c, job.engine_cold,
       {CHECKED.format(at="?1")}FROM touch t
CROSS JOIN job ON job.id = t.job AND job.void_reason IS NULL
LEFT JOIN line l ON l.id = t.line
LEFT JOIN component e ON e.id = CASE t.ends WHEN 'from' THEN l.from_component WHEN 'to' THEN l.to_component END
LEFT JOIN component c ON c.id = t.component
WHERE t.void_reason IS NULL AND
"""
_NEWEST = " ORDER BY t.at DESC, t.id DESC LIMIT ?2"
_EVER = "9999"


@kept
def touches_before(connection: Connection, car: str, at: str, limit: int = 200) -> list[TouchRow]:
    """What the car's jobs touched up to `at`, newest first. `checked` is as it was at that moment."""
    return rows(connection, TouchRow, f"{_SELECT} t.car = ?3 AND t.at <= ?1 {_NEWEST}", at, limit, car)


def touches_between(connection: Connection, car: str, after: str, at: str) -> list[TouchRow]:
    """What the car's jobs touched after one moment and up to another, newest first."""
    return rows(
        connection, TouchRow, f"{_SELECT} t.car = ?3 AND t.at <= ?1 AND t.at > ?4 {_NEWEST}", at, -1, car, after
    )


def touches_of(
    connection: Connection, car: str, *, thing: str = "", after: str = "", limit: int = 50
) -> list[TouchRow]:
    """One page of everything ever touched, newest first: of one line or component if `thing` is its id.

    `after` is the id of the last touch of the page before.
    """
    where = "t.car = ?3"
    if thing:
        where += " AND (t.line = ?4 OR t.component = ?4)"
    if after:
        where += " AND (t.at, t.id) < (SELECT at, id FROM touch WHERE id = ?5)"
    given = (_EVER, limit, car, thing, after)[: 5 if after else 4 if thing else 3]
    return rows(connection, TouchRow, f"{_SELECT} {where} {_NEWEST}", *given)


def touches_in(connection: Connection, job: str) -> list[TouchRow]:
    """What one job touched, newest first."""
    return rows(connection, TouchRow, f"{_SELECT} t.job = ?3 {_NEWEST}", _EVER, -1, job)


def looks_known(connection: Connection, car: str) -> Known:
    """The looks at whole lines and components in the car's unfinished jobs, as a page hands them to a phone."""
    sql = """
    SELECT id, done_at, good FROM joint_check
    WHERE joint IS NULL AND void_reason IS NULL AND job IN (
      SELECT id FROM job WHERE car = ? AND (ends_left > 0 OR closed_at IS NULL) AND void_reason IS NULL)
    """
    found = rows(connection, lambda *row: row, sql, car)
    return {f"check/{look}": {"done_at": at, "good": "yes" if good else "no"} for look, at, good in found}


@dataclass(frozen=True, slots=True)
class Thing:
    """A line or component as a job may touch it, with what this job has done to it so far.

    `how` is None while the job left it alone. A component has no ends: from_name and to_name are None.
    """

    id: str
    what: str
    name: str
    kind: str
    material: str | None
    from_name: str | None
    to_name: str | None
    retired_on: str | None
    retired_reason: str | None
    near_turbo: int
    how: str | None
    ends: str | None
    touched_at: str | None
    touch_note: str | None

    @property
    def took_off(self) -> str | None:
        """Which joints this job took off: both, from, to, or None."""
        return self.ends if self.what == "line" and self.how in {"disconnected", "replaced"} else None

    def ends_off(self, how: str, ends: str) -> frozenset[str]:
        """The ends that a touch of this kind takes off."""
        if self.what != "line" or how not in {"disconnected", "replaced"}:
            return frozenset()
        return frozenset({"from", "to"} if ends == "both" else {ends})


_THING = """
SELECT x.id, x.what, x.name, x.kind, x.material, x.from_name, x.to_name, x.retired_on, x.retired_reason,
       x.near_turbo, t.how, t.ends, t.at, t.note
FROM (
  SELECT l.id, 'line' AS what, l.car, l.name, l.role AS kind, l.material, f.name AS from_name, o.name AS to_name,
         l.retired_on, l.retired_reason, 'turbocharger' IN (f.kind, o.kind) AS near_turbo
  FROM line l JOIN component f ON f.id = l.from_component JOIN component o ON o.id = l.to_component
  WHERE l.id = ?2 AND l.void_reason IS NULL
  UNION ALL
  SELECT id, 'component', car, name, kind, NULL, NULL, NULL, retired_on, NULL, kind = 'turbocharger' FROM component
  WHERE id = ?2 AND void_reason IS NULL
) x
JOIN job ON job.id = ?1 AND job.car = x.car
LEFT JOIN touch t ON t.id = ?1 || '.' || ?2 AND t.void_reason IS NULL
"""


def thing_in(connection: Connection, job: str, thing: str) -> Thing | None:
    """A line or component of the job's car; None if the car has no such thing."""
    return row(connection, Thing, _THING, job, thing)


@dataclass(frozen=True, slots=True)
class ComponentRow:
    """A component on the car."""

    id: str
    name: str
    kind: str


def components_of(connection: Connection, car: str) -> list[ComponentRow]:
    """Every component on the car, by name; a tee is part of its lines."""
    return rows(
        connection,
        ComponentRow,
        """
        SELECT c.id, c.name, c.kind FROM component c
        WHERE c.car = ? AND c.void_reason IS NULL AND c.retired_on IS NULL AND c.kind <> 'tee'
        ORDER BY c.name, c.id
        """,
        car,
    )


@dataclass(frozen=True, slots=True)
class Told:
    """What a job's record already says of one joint of a line, whether or not the joint counts as off now."""

    joint: str
    end: str
    back_on: int
    checked: int


def told_of(connection: Connection, job: str, line: str) -> list[Told]:
    """The joints of a line, and whether this job once put each back on or checked it.

    A touch called back leaves such records behind; they must not speak for a joint that comes off again.
    """
    return rows(
        connection,
        Told,
        """
        SELECT j.id, j."end", e.id IS NOT NULL, k.id IS NOT NULL FROM joint j
        LEFT JOIN loose_end e ON e.id = ?1 || '.' || j.id AND e.back_on_at IS NOT NULL
        LEFT JOIN joint_check k ON k.id = ?1 || '.' || j.id AND k.void_reason IS NULL
        WHERE j.line = ?2 AND j.void_reason IS NULL
        """,
        job,
        line,
    )


@dataclass(frozen=True, slots=True)
class Named:
    """A line or component, to be chosen from a list."""

    id: str
    what: str
    name: str


def things_of(connection: Connection, car: str) -> list[Named]:
    """Every line by number, then every component by name, those taken off the car left out."""
    return rows(
        connection,
        Named,
        """
        SELECT id, what, name FROM (
          SELECT id, 'line' AS what, name, number FROM line
          WHERE car = ?1 AND retired_on IS NULL AND void_reason IS NULL
          UNION ALL
          SELECT id, 'component', name, NULL FROM component
          WHERE car = ?1 AND retired_on IS NULL AND void_reason IS NULL AND kind <> 'tee'
        ) ORDER BY what DESC, number, name, id
        """,
        car,
    )
