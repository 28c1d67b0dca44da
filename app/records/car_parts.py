"""The parts of a car, wherever each is: the list, one with all that is known, what shares its place, its slips."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection

from app.records.entry import Value, in_order_of_entry
from app.records.known import Known, known
from app.records.logbook import entries_of
from app.records.rows import row, rows

#: What a list of parts shows of each.
_LISTED = ("car", "name", "kind", "state", "line", "component", "position", "stage", "ordered_on", "expected_on",
           "arrived_on", "price", "currency", "void_reason")  # fmt: skip
#: How many of those that are gone a list shows, the last first.
GONE_SHOWN = 30


@dataclass(frozen=True, slots=True)
class AtPlace:
    """A part as its place knows it; `step` and `stage` of the plan where it is to come in one."""

    id: str
    name: str
    kind: str
    state: str
    step: int | None
    stage: str | None
    expected_on: str | None
    fitted_at: str | None
    removed_at: str | None


@dataclass(frozen=True, slots=True)
class PartHead:
    """Whose a part is, and where it belongs: `place` is the name of its line, component or position."""

    id: str
    car: str
    car_name: str
    distance_unit: str
    name: str
    kind: str
    state: str
    line: str | None
    component: str | None
    position: str | None
    place: str | None
    job: str | None
    job_title: str | None
    fitted_at: str | None


_HEAD = """
SELECT p.id, p.car, car.name, car.distance_unit, p.name, p.kind, p.state, p.line, p.component, p.position,
       coalesce(l.name, c.name, p.position), p.job, job.title, p.fitted_at
FROM part p JOIN car ON car.id = p.car AND car.void_reason IS NULL LEFT JOIN line l ON l.id = p.line
LEFT JOIN component c ON c.id = p.component LEFT JOIN job ON job.id = p.job
WHERE p.id = ? AND p.void_reason IS NULL
"""
_AT_PLACE = """
SELECT p.id, p.name, p.kind, p.state, s.step, s.name, p.expected_on, p.fitted_at, p.removed_at
FROM part p LEFT JOIN stage s ON s.id = p.stage AND s.void_reason IS NULL
WHERE p.car = ?1 AND coalesce(p.line, p.component, p.position) = ?2 AND p.void_reason IS NULL
ORDER BY coalesce(s.step, 1000), p.name, p.id
"""
_LIST = f"""
SELECT p.id, {", ".join(f"p.{name}" for name in _LISTED)}, coalesce(l.name, c.name, p.position),
       s.name, s.step
FROM part p LEFT JOIN line l ON l.id = p.line LEFT JOIN component c ON c.id = p.component
LEFT JOIN stage s ON s.id = p.stage
WHERE p.car = ? AND p.void_reason IS NULL
AND (p.state <> 'gone' OR p.id IN (SELECT id FROM part WHERE car = p.car AND state = 'gone' AND void_reason IS NULL
                                   ORDER BY coalesce(removed_at, changed_at) DESC, id LIMIT {GONE_SHOWN}))
ORDER BY coalesce(s.step, 1000), p.name, p.id
"""


def part(connection: Connection, part_id: str) -> PartHead | None:
    """One part; None if there is no such part, or it was struck out."""
    return row(connection, PartHead, _HEAD, part_id)


def part_known(connection: Connection, head: PartHead) -> Known:
    """All fields of a part, with its place and its stage by name, and the stages there are."""
    found = known(connection, "part", id=head.id)
    stages = stages_known(connection, head.car)
    fields = found[f"part/{head.id}"]
    if head.place:
        fields["place"] = head.place
    if stage := stages.get(f"stage/{fields.get('stage')}"):
        fields["stage_name"] = stage["name"]
    return stages | found


def listed(connection: Connection, car: str) -> Known:
    """The car's parts as a list of them shows each, those of earlier stages first, with place and stage by name."""
    names = (*_LISTED, "place", "stage_name", "step")
    found = rows(connection, lambda *one: one, _LIST, car)
    return {
        f"part/{part_id}": {name: value for name, value in zip(names, values, strict=True) if value is not None}
        for part_id, *values in found
    }


def at_place(connection: Connection, car: str, place: str) -> list[AtPlace]:
    """Every part of a car's line, component or position (its id, or its words), by stage."""
    return rows(connection, AtPlace, _AT_PLACE, car, place)


def stages_known(connection: Connection, car: str) -> Known:
    """The stages of a car's plan by id, in their order, without those struck out."""
    sql = "SELECT id, step, name FROM stage WHERE car = ? AND void_reason IS NULL ORDER BY step, id"
    return {f"stage/{one}": {"step": step, "name": name} for one, step, name in rows(connection, _three, sql, car)}


def _three(one: str, step: int, name: str) -> tuple[str, int, str]:
    return one, step, name


def positions_of(connection: Connection, car: str) -> list[str]:
    """The free positions this car's record speaks of, by name."""
    sql = """
SELECT position FROM part WHERE car = ?1 AND position IS NOT NULL AND void_reason IS NULL
UNION SELECT p.position FROM part_change p JOIN job ON job.id = p.job
WHERE job.car = ?1 AND p.position IS NOT NULL AND p.void_reason IS NULL ORDER BY 1"""
    return rows(connection, str, sql, car)


def slips(connection: Connection, part_id: str) -> list[str]:
    """The days a part was expected on, in the order they were said; the same day said again is no slip."""
    said: list[str] = []
    for kept in in_order_of_entry(entries_of(connection, "part", part_id)):
        day = kept.entry.fields.get("expected_on")
        if day and (not said or said[-1] != day):
            said.append(str(day))
    return said


def days_later(said: Sequence[str]) -> int:
    """How many days the last day said lies after the first; negative if it lies before it."""
    return (date.fromisoformat(said[-1]) - date.fromisoformat(said[0])).days if len(said) > 1 else 0


@dataclass(frozen=True, slots=True)
class Coming:
    """A part that belongs at a place and is not on it yet."""

    id: str
    name: str
    kind: str
    state: str
    step: int | None
    expected_on: str | None

    @property
    def throws_out(self) -> bool:
        """Whether the plan has it take the place of what is there now; a clamp or a bolt does not."""
        return self.step is not None and self.kind in {"hose", "other"}


@dataclass(frozen=True, slots=True)
class OnIt:
    """A part that is fitted at a place, as its own record says."""

    id: str
    name: str
    fitted_at: str | None
    fitted_odometer: float | None


_BY_PLACE = """
SELECT coalesce(p.line, p.component, p.position), p.state, p.id, p.name, p.kind, s.step, p.expected_on, p.fitted_at,
       p.fitted_odometer
FROM part p LEFT JOIN stage s ON s.id = p.stage AND s.void_reason IS NULL
LEFT JOIN line l ON l.id = p.line LEFT JOIN component c ON c.id = p.component
WHERE p.car = ? AND p.void_reason IS NULL AND coalesce(p.line, p.component, p.position) IS NOT NULL
AND coalesce(l.retired_on, l.void_reason, c.retired_on, c.void_reason) IS NULL
AND (p.state IN ('wanted', 'ordered', 'here', 'fitted') OR p.state = 'shelf' AND p.stage IS NOT NULL)
ORDER BY coalesce(s.step, 1000), p.fitted_at DESC, p.name, p.id
"""


@dataclass(frozen=True, slots=True)
class Places:
    """By place: what is to come there, and what the parts themselves say is on it."""

    coming: Mapping[str, Sequence[Coming]]
    on_it: Mapping[str, Sequence[OnIt]]


def by_place(connection: Connection, car: str) -> Places:
    """The car's parts by the line, component or position they belong to, in one query."""
    coming: dict[str, list[Coming]] = {}
    on_it: dict[str, list[OnIt]] = {}
    for place, state, one, name, kind, step, expected_on, fitted_at, reads in rows(
        connection, lambda *it: it, _BY_PLACE, car
    ):
        if state == "fitted" and kind in {"hose", "other"}:
            on_it.setdefault(place, []).append(OnIt(one, name, fitted_at, reads))
        elif state != "fitted":
            coming.setdefault(place, []).append(Coming(one, name, kind, state, step, expected_on))
    return Places(coming, on_it)


def by_id(found: Known, kind: str) -> list[tuple[str, dict[str, Value]]]:
    """The records of one kind among known ones, by id."""
    return [(ref.removeprefix(f"{kind}/"), fields) for ref, fields in found.items() if ref.startswith(f"{kind}/")]


def last_currency(connection: Connection, car: str) -> str | None:
    """The currency a price of this car was last written in; None before the first."""
    sql = "SELECT currency FROM part WHERE car = ? AND currency IS NOT NULL ORDER BY changed_at DESC, id LIMIT 1"
    return row(connection, str, sql, car)
