"""The hoses of a car: each line's age and state, which to replace next and why, and what buying them takes."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from sqlalchemy import Connection

from app.airpath import shopping, wear
from app.airpath.drawing import draw
from app.airpath.figure import Drawing, DrawnComponent, Marks
from app.airpath.wear import Verdict, When
from app.airpath.words import ComponentKind, Hold, LineState, Role
from app.records.air_path import LineRow, drawn_components, drawn_line, lines_of
from app.records.fields import moment_text
from app.records.rows import row, rows

#: How far back it counts how often a line's ends were worked on.
_WORKED_ON_DAYS = 730
_DAYS_A_YEAR = 365.25
_ORDER = list(When)


@dataclass(frozen=True, slots=True)
class NewOne:
    """A part for the line that is not on it yet: wanted, ordered, here or on the shelf."""

    id: str
    name: str
    state: str
    expected_on: str | None


@dataclass(frozen=True, slots=True)
class HoseRow:
    """One line. `fitted` is the day or moment it was put on; `age_years` is None where nobody knows.

    `at_least`: as it came, so that it is only known to be no younger than the record. A line on which a job put a part
    counts as replaced, whether or not the line itself says so.
    """

    line: LineRow
    state: LineState
    fitted: str | None
    age_years: float | None
    at_least: bool
    wall_mm: float | None
    verdict: Verdict
    new_one: NewOne | None
    holds: tuple[Hold | None, Hold | None]

    @property
    def when(self) -> When:
        """How soon it wants replacing."""
        return self.verdict.when

    @property
    def to_buy(self) -> shopping.Line:
        """What buying for it takes."""
        line = self.line
        return shopping.Line(line.name, line.material, line.bore_mm, line.length_mm, self.wall_mm, self.holds)


@dataclass(frozen=True, slots=True)
class Hoses:
    """Every line on the car, by number, and the components they join."""

    rows: list[HoseRow]
    components: list[DrawnComponent]

    @property
    def drawing(self) -> Drawing:
        """The drawing of them, for the page that shows it."""
        lines = [drawn_line(replace(one.line, state=one.state), Marks()) for one in self.rows]
        return draw(self.components, lines)

    @property
    def next(self) -> list[HoseRow]:
        """The lines in the order in which to replace them."""
        roles = list(Role)
        return sorted(
            self.rows,
            key=lambda one: (
                _ORDER.index(one.when),
                -one.verdict.points,
                roles.index(one.line.role),
                one.line.number,
            ),
        )

    @property
    def when_of(self) -> dict[str, When]:
        """By line, how soon."""
        return {one.line.id: one.when for one in self.rows}

    def count(self, state: LineState) -> int:
        """How many lines are in this state."""
        return sum(one.state is state for one in self.rows)


@dataclass(frozen=True, slots=True)
class _Facts:
    line: str
    worked_on: int
    bad: int
    replaced_at: str | None


@dataclass(frozen=True, slots=True)
class _Seen:
    line: str
    weight: str
    what: str


@dataclass(frozen=True, slots=True)
class _Held:
    line: str
    end: str
    hold: str | None


@dataclass(frozen=True, slots=True)
class _Part:
    line: str
    id: str
    name: str
    state: str
    expected_on: str | None
    wall_mm: float | None
    life_days: int | None


# How often an end was off or its clamp moved lately, by what is on now; whether the line as a whole was last found
# wanting; and when a job put a part on it, which may not have been written to the line.
_FACTS = """
SELECT l.id,
  (SELECT count(*) FROM touch t JOIN job b ON b.id = t.job AND b.void_reason IS NULL
   WHERE t.line = l.id AND t.void_reason IS NULL AND t.at >= max(?, coalesce(l.fitted_on, ''))
   AND t.how IN ('clamp_moved', 'disconnected')),
  (SELECT k.good = 0 FROM joint_check k WHERE k.line = l.id AND k.void_reason IS NULL
   AND k.done_at >= coalesce(l.fitted_on, '') ORDER BY k.done_at DESC, k.id LIMIT 1),
  (SELECT max(p.at) FROM part_change p JOIN job b ON b.id = p.job AND b.void_reason IS NULL
   WHERE p.line = l.id AND p.on_part IS NOT NULL AND p.void_reason IS NULL)
FROM line l WHERE l.car = ? AND l.retired_on IS NULL AND l.void_reason IS NULL
"""
_FINDINGS = """
SELECT f.line, f.weight, f.what FROM line l CROSS JOIN finding f ON f.line = l.id
WHERE l.car = ? AND f.settled_at IS NULL AND f.weight IN ('watch', 'act') AND f.void_reason IS NULL
AND f.seen_at >= coalesce(l.fitted_on, '') ORDER BY f.seen_at DESC, f.id
"""
_HOLDS = """
SELECT j.line, j."end", j.hold FROM line l CROSS JOIN joint j ON j.line = l.id
WHERE l.car = ? AND l.retired_on IS NULL AND l.void_reason IS NULL AND j.void_reason IS NULL
"""
_PARTS = """
SELECT line, id, name, state, expected_on, wall_mm, life_days FROM part
WHERE car = ? AND line IS NOT NULL AND kind = 'hose' AND state <> 'gone' AND void_reason IS NULL
ORDER BY CASE state WHEN 'fitted' THEN 0 WHEN 'here' THEN 1 WHEN 'ordered' THEN 2 WHEN 'shelf' THEN 3 ELSE 4 END,
         fitted_at DESC, rowid
"""
_BEGAN = "SELECT min(counted_at) FROM entry WHERE kind = 'car' AND record = ?"


def hoses(connection: Connection, car_id: str, today: date, only: Collection[str] = ()) -> Hoses:
    """Every line of the car as its hoses page tells it, or `only` some. The number of queries is fixed."""
    lines, parts = lines_of(connection, car_id), drawn_components(connection, car_id)
    kinds = {part.id: part.kind for part in parts}
    known = _known(connection, car_id, today)
    found = [
        _row(line, known, {kinds[line.from_component], kinds[line.to_component]})
        for line in lines
        if not only or line.id in only
    ]
    return Hoses(found, parts)


@dataclass(frozen=True, slots=True)
class _Known:
    """What the record knows besides the lines themselves, by line."""

    today: date
    began: date
    facts: Mapping[str, _Facts]
    seen: Mapping[str, Sequence[_Seen]]
    holds: Mapping[str, Mapping[str, Hold]]
    parts: Mapping[str, Sequence[_Part]]


def _known(connection: Connection, car_id: str, today: date) -> _Known:
    since = moment_text(datetime.combine(today, time.min).astimezone() - timedelta(days=_WORKED_ON_DAYS))
    began = row(connection, lambda at: at, _BEGAN, car_id)
    seen: dict[str, list[_Seen]] = defaultdict(list)
    for one in rows(connection, _Seen, _FINDINGS, car_id):
        seen[one.line].append(one)
    holds: dict[str, dict[str, Hold]] = defaultdict(dict)
    for held in rows(connection, _Held, _HOLDS, car_id):
        if held.hold:
            holds[held.line][held.end] = Hold(held.hold)
    parts: dict[str, list[_Part]] = defaultdict(list)
    for part in rows(connection, _Part, _PARTS, car_id):
        parts[part.line].append(part)
    facts = {fact.line: fact for fact in rows(connection, _Facts, _FACTS, since, car_id)}
    return _Known(today, _day(began) if began else today, facts, seen, holds, parts)


def _row(line: LineRow, known: _Known, ends: Collection[ComponentKind]) -> HoseRow:
    facts, parts = known.facts[line.id], known.parts.get(line.id, ())
    on = next((part for part in parts if part.state == "fitted"), None)
    new = next((part for part in parts if part.state != "fitted"), None)
    fitted = line.fitted_on or facts.replaced_at
    state = LineState.REPLACED if facts.replaced_at and line.state is LineState.ORIGINAL else line.state
    at_least = fitted is None and state is LineState.ORIGINAL
    since = _day(fitted) if fitted else known.began if at_least else None
    age = None if since is None else max((known.today - since).days, 0) / _DAYS_A_YEAR
    seen = known.seen.get(line.id, ())
    hose = wear.Hose(
        line.role,
        line.material,
        wear.heat_of(ends),
        age,
        at_least,
        on.life_days / _DAYS_A_YEAR if on and on.life_days else None,
        state is LineState.STOPGAP,
        tuple(one.what for one in seen if one.weight == "act"),
        tuple(one.what for one in seen if one.weight == "watch"),
        bool(facts.bad),
        facts.worked_on,
    )
    holds = known.holds.get(line.id, {})
    waiting = NewOne(new.id, new.name, new.state, new.expected_on) if new else None
    wall = on.wall_mm if on else None
    both = (holds.get("from"), holds.get("to"))
    return HoseRow(line, state, fitted, age, at_least, wall, wear.judge(hose), waiting, both)


def _day(text: str) -> date:
    return datetime.fromisoformat(text).astimezone().date() if "T" in text else date.fromisoformat(text)
