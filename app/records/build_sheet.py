"""The build sheet: what is fitted now, position by position along the air path, and what was there before."""

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal, NamedTuple

from sqlalchemy import Connection

from app.airpath.words import ComponentKind, LineState, Role
from app.records.air_path import LineRow, lines_of
from app.records.car_parts import Coming, Places, by_place
from app.records.entry import Value
from app.records.kept import kept
from app.records.refusals import label_of
from app.records.rows import rows


@dataclass(frozen=True, slots=True)
class Before:
    """What was at a position before, until when (a day or a moment); `what` as written, or what is known of it."""

    what: str
    until: str


@dataclass(frozen=True, slots=True)
class Waiting:
    """The open stopgap at a position, and the permanent part it waits for."""

    id: str
    used: str
    part_name: str | None
    ordered_on: str | None
    expected_on: str | None


@dataclass(frozen=True, slots=True)
class Position:
    """One place on the car. `fitted_odometer` is in the car's own unit; None where nobody wrote it down.

    A line has a `number`, as on the drawing. `part` is None at a free position whose part came off for good. `next` is
    what is to come there, by stage.
    """

    of: Literal["line", "component", "position"]
    id: str
    number: int | None
    name: str
    made_of: str
    part: str | None
    fitted: str | None
    fitted_odometer: float | None
    state: LineState
    waiting: Waiting | None
    before: Sequence[Before]
    next: Sequence[Coming] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """Positions that belong together: those of one role, or, without a role, the free ones and the unconnected."""

    role: Role | None
    positions: Sequence[Position]


@kept
def build_sheet(connection: Connection, car_id: str) -> list[Section]:
    """Everything fitted to the car, along the air's way; free positions last. The number of queries is fixed."""
    lines = lines_of(connection, car_id)
    parts = {part.id: part for part in rows(connection, _Component, _COMPONENTS, car_id)}
    past = _Past(
        _by_place(rows(connection, _Change, _CHANGES, car_id)),
        {gap.place: gap for gap in rows(connection, _Gap, _GAPS, car_id)},
        _former(rows(connection, _Written, _WRITTEN, car_id)),
    )
    by_role: dict[Role | None, list[Position]] = {role: [] for role in (*Role, None)}
    for role, thing in _along(lines, parts):
        by_role[role].append(_line(thing, past) if isinstance(thing, LineRow) else _component(thing, past))
    known = {line.id for line in lines} | parts.keys()
    places = by_place(connection, car_id)
    named = {*past.changes, *past.gaps, *places.on_it, *places.coming}
    by_role[None] += [_free(name, past) for name in sorted(named) if name not in known]
    return [Section(role, [_with(one, places) for one in there]) for role, there in by_role.items() if there]


def _with(position: Position, places: Places) -> Position:
    # What a line or a job says of what is fitted comes first; a part says it where nobody else does.
    on_it, coming = places.on_it.get(position.id, ()), places.coming.get(position.id, ())
    if not on_it or position.part:
        return replace(position, next=coming) if coming else position
    first = on_it[0]
    fitted: dict[str, Any] = (
        {"fitted": first.fitted_at, "fitted_odometer": first.fitted_odometer} if first.fitted_at else {}
    )
    state = LineState.REPLACED if position.state is LineState.ORIGINAL else position.state
    return replace(position, part=first.name, state=state, next=coming, **fitted)


class _Component(NamedTuple):
    id: str
    name: str
    kind: str
    fitted_on: str | None
    fitted_odometer: float | None


class _Change(NamedTuple):
    place: str
    off_part: str | None
    on_part: str | None
    at: str
    reads: float | None


class _Gap(NamedTuple):
    place: str
    id: str
    used: str
    part_name: str | None
    ordered_on: str | None
    expected_on: str | None


class _Written(NamedTuple):
    line: str
    fields: str


@dataclass(frozen=True, slots=True)
class _Past:
    """By place: part changes (newest first), the open stopgap, and what a line was before it was replaced."""

    changes: Mapping[str, Sequence[_Change]]
    gaps: Mapping[str, _Gap]
    former: Mapping[str, Sequence[Before]]


_COMPONENTS = f"""
SELECT id, name, kind, fitted_on, fitted_odometer FROM component
WHERE car = ? AND retired_on IS NULL AND void_reason IS NULL AND kind <> '{ComponentKind.TEE}' ORDER BY rowid
"""
# Parts of lines and components that have left the car have left its build sheet too.
_CHANGES = """
SELECT coalesce(p.line, p.component, p.position), p.off_part, p.on_part, p.at,
       coalesce(job.odometer, (SELECT reads FROM odometer WHERE car = job.car AND at <= p.at ORDER BY at DESC LIMIT 1))
FROM part_change p JOIN job ON job.id = p.job AND job.car = ? AND job.void_reason IS NULL
LEFT JOIN line l ON l.id = p.line LEFT JOIN component c ON c.id = p.component
WHERE p.void_reason IS NULL AND coalesce(l.retired_on, l.void_reason, c.retired_on, c.void_reason) IS NULL
ORDER BY p.at DESC, p.id DESC
"""
_GAPS = """
SELECT coalesce(s.line, s.component, s.what), s.id, s.used, s.part_name, s.ordered_on, s.expected_on FROM stopgap s
LEFT JOIN line l ON l.id = s.line LEFT JOIN component c ON c.id = s.component
WHERE s.car = ? AND s.ended_at IS NULL AND s.void_reason IS NULL
AND coalesce(l.retired_on, l.void_reason, c.retired_on, c.void_reason) IS NULL ORDER BY s.fitted_at, s.id
"""
_WRITTEN = """
SELECT record, fields FROM entry
WHERE kind = 'line' AND record IN (SELECT id FROM line WHERE car = ? AND fitted_on IS NOT NULL)
ORDER BY record, counted_at, entered_at, id
"""


def _along(
    lines: Iterable[LineRow], parts: Mapping[str, _Component]
) -> Iterator[tuple[Role | None, LineRow | _Component]]:
    """Each line by number, with the components it joins before and after it; each component once, where first met."""
    left = dict(parts)
    order = {role: place for place, role in enumerate(Role)}
    for line in sorted(lines, key=lambda one: (order[one.role], one.number)):
        if start := left.pop(line.from_component, None):
            yield line.role, start
        yield line.role, line
        if end := left.pop(line.to_component, None):
            yield line.role, end
    for part in left.values():
        yield None, part


def _by_place(changes: Iterable[_Change]) -> dict[str, list[_Change]]:
    by: dict[str, list[_Change]] = defaultdict(list)
    for change in changes:
        by[change.place].append(change)
    return by


def _former(written: Iterable[_Written]) -> dict[str, list[Before]]:
    """What each line was before every entry that says it was replaced, the latest first."""
    now: dict[str, dict[str, Value]] = {}
    former: dict[str, list[Before]] = defaultdict(list)
    for one in written:
        fields: dict[str, Value] = json.loads(one.fields)
        was = now.setdefault(one.line, {})
        fitted = fields.get("fitted_on")
        if was and fitted and fields.get("state") == LineState.REPLACED:
            former[one.line].insert(0, Before(_what(was), str(fitted)))
        was.update(fields)
    return former


def _what(was: Mapping[str, Value]) -> str:
    material = label_of(str(was["material"])) if was.get("material") else ""
    part = str(was.get("part") or material or "what was on it")
    return part if was.get("fitted_on") else f"{part}, as it came"


def _line(line: LineRow, past: _Past) -> Position:
    changes = past.changes.get(line.id, ())
    measures = (f"{value:g} mm {name}" for value, name in ((line.bore_mm, "bore"), (line.length_mm, "long")) if value)
    made_of = ", ".join([*([label_of(line.material)] if line.material else []), *measures])
    newest = _newest(changes)
    # The part a job put on may not have been written to the line; what the line itself says comes first.
    part = line.part or (newest.on_part if newest else None)
    fitted = line.fitted_on or (newest.at if newest else None)
    reads = line.fitted_odometer if line.fitted_on else newest.reads if newest else line.fitted_odometer
    waiting = _waiting(past, line.id)
    before = _before(changes, past.former.get(line.id, ()))
    return Position("line", line.id, line.number, line.name, made_of, part, fitted, reads, line.state, waiting, before)


def _component(part: _Component, past: _Past) -> Position:
    changes = past.changes.get(part.id, ())
    newest = _newest(changes)
    on_part = newest.on_part if newest else None
    fitted = part.fitted_on or (newest.at if newest else None)
    reads = part.fitted_odometer if part.fitted_on else newest.reads if newest else part.fitted_odometer
    waiting = _waiting(past, part.id)
    state = LineState.STOPGAP if waiting else LineState.REPLACED if fitted else LineState.ORIGINAL
    before = _before(changes, ())
    return Position("component", part.id, None, part.name, "", on_part, fitted, reads, state, waiting, before)


def _free(name: str, past: _Past) -> Position:
    changes, waiting = past.changes.get(name, ()), _waiting(past, name)
    last = changes[0] if changes else None
    state = LineState.STOPGAP if waiting else LineState.REPLACED
    on_part, fitted, reads = (last.on_part, last.at, last.reads) if last else (None, None, None)
    before = _before(changes, ())
    return Position("position", name, None, name, "", on_part, fitted, reads, state, waiting, before)


def _newest(changes: Iterable[_Change]) -> _Change | None:
    return next((change for change in changes if change.on_part), None)


def _before(changes: Iterable[_Change], former: Iterable[Before]) -> Sequence[Before]:
    off = [Before(change.off_part, change.at) for change in changes if change.off_part]
    days = {before.until[:10] for before in off}
    # One and the same change, told by the job and by the line: the job's words are the fitter's own.
    return sorted(
        [*off, *(one for one in former if one.until[:10] not in days)], key=lambda one: one.until, reverse=True
    )


def _waiting(past: _Past, place: str) -> Waiting | None:
    gap = past.gaps.get(place)
    return Waiting(gap.id, gap.used, gap.part_name, gap.ordered_on, gap.expected_on) if gap else None
