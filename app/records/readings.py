"""Readings as pages show them: one with its baseline, the history of one series, the latest of each."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from urllib.parse import urlencode

from sqlalchemy import Connection

from app.airpath.readings import READINGS, Condition, ReadingKind
from app.records.baselines import BaselineView, baselines
from app.records.kept import kept
from app.records.kinds.reading import series_of
from app.records.past import Picture, picture
from app.records.rows import row, rows
from app.records.shown import Scale, label_of_series
from app.workings.ambient import Air, air_around
from app.workings.spread import Placing, Where, place

#: How many readings the small picture shows.
PICTURED = 8
PAGE = 30


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One reading. `si` is kPa absolute for a pressure; `value`, `unit` and `basis` are as entered."""

    id: str
    car: str
    series: str
    what: str
    condition: str
    free_name: str | None
    value: float
    unit: str
    basis: str | None
    barometer_value: float | None
    altitude_m: float | None
    taken_at: str
    odometer: float | None
    healthy: int
    job: str | None
    note: str | None
    void_reason: str | None
    si: float
    ambient_kpa: float | None
    engine_speed: float | None

    @property
    def kind(self) -> ReadingKind:
        """What was read, as a word of the trade."""
        return ReadingKind(self.what)

    @property
    def label(self) -> str:
        """What was read, and under which condition where that needs saying."""
        return label_of_series(self.kind, Condition(self.condition), self.free_name)

    @property
    def scale(self) -> Scale:
        """The scale it was read on: its unit and basis, with the air as it was then."""
        return Scale(self.kind, self.unit, self.basis, self.ambient_kpa)

    @property
    def figure(self) -> str:
        """The figure as entered, without its unit."""
        return self.scale.figure(self.value)

    @property
    def address(self) -> str:
        """Where the history of its series is."""
        return address_of(self.car, self.kind, Condition(self.condition), self.free_name, self.unit)

    @property
    def air(self) -> Air | None:
        """The air it was read in, what told its pressure and why that counts; None for what is no pressure."""
        if self.ambient_kpa is None:
            return None
        return air_around(self.ambient_kpa if self.barometer_value is not None else None, None, self.altitude_m)

    def placed(self, baseline: BaselineView | None) -> Placing | None:
        """Where it lies against its baseline, held against each other in SI."""
        return place(self.si, baseline.usual) if baseline else None


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """One series on the car page: its latest figure, what is usual, and the picture of its past."""

    id: str
    series: str
    label: str
    usual: str
    picture: Picture
    shown: str
    unit: str
    outside: bool
    taken_at: str
    address: str
    over: str


_COLUMNS = """r.id, r.car, r.series, r.what, r.condition, r.free_name, r.value, r.unit, r.basis, r.barometer_value,
r.altitude_m, r.taken_at, r.odometer, r.healthy, r.job, r.note, r.void_reason, r.si, r.ambient_kpa,
r.engine_speed"""

_LATEST = f"""
WITH RECURSIVE one(series) AS (
  SELECT min(series) FROM reading WHERE car = ?1 AND void_reason IS NULL
  UNION ALL
  SELECT (SELECT min(series) FROM reading WHERE car = ?1 AND void_reason IS NULL AND series > one.series)
  FROM one WHERE one.series IS NOT NULL)
SELECT {_COLUMNS}
FROM one CROSS JOIN reading r ON r.rowid IN (
  SELECT rowid FROM reading p WHERE p.car = ?1 AND p.series = one.series AND p.void_reason IS NULL
  ORDER BY p.taken_at DESC LIMIT {PICTURED})
ORDER BY r.series, r.taken_at
"""
_OF_SERIES = f"""
SELECT {_COLUMNS} FROM reading r WHERE r.car = ? AND r.series = ? AND r.void_reason IS NULL
"""
_ORDER = {kind: place for place, kind in enumerate(ReadingKind)}


def reading(db: Connection, reading_id: str) -> ReadingRow | None:
    """One reading, voided or not; None if there is no such reading."""
    return row(db, ReadingRow, f"SELECT {_COLUMNS} FROM reading r WHERE r.id = ?", reading_id)


def reading_in_si(db: Connection, reading_id: str) -> ReadingRow | None:
    """One reading that counts, with its `si` and `ambient_kpa`; None for a voided one or none at all."""
    found = reading(db, reading_id)
    return found if found is not None and found.void_reason is None else None


def history(db: Connection, car: str, series: str, page: int = 1) -> tuple[list[ReadingRow], bool]:
    """A page of one series, newest first, and whether there are older ones."""
    found = rows(
        db,
        ReadingRow,
        _OF_SERIES + " ORDER BY r.taken_at DESC, r.id LIMIT ? OFFSET ?",
        car,
        series,
        PAGE + 1,
        PAGE * (page - 1),
    )
    return found[:PAGE], len(found) > PAGE


def past_of(db: Connection, car: str, series: str, until: str = "9", limit: int = PICTURED) -> list[ReadingRow]:
    """The last few readings of one series up to a moment, oldest first: what the picture shows."""
    sql = _OF_SERIES + " AND r.taken_at <= ? ORDER BY r.taken_at DESC LIMIT ?"
    return rows(db, ReadingRow, sql, car, series, until, limit)[::-1]


def readings_since(db: Connection, car: str, at: str, limit: int = 30) -> list[ReadingRow]:
    """The car's readings taken at `at` or later, of any kind but the free ones, newest first."""
    sql = f"SELECT {_COLUMNS} FROM reading r WHERE r.car = ? AND r.taken_at >= ? AND r.void_reason IS NULL"
    return rows(db, ReadingRow, sql + " AND r.what <> 'free' ORDER BY r.taken_at DESC, r.id LIMIT ?", car, at, limit)


def boosts_with_speed(db: Connection, car: str, limit: int) -> list[ReadingRow]:
    """The car's last readings of boost that say at which engine speed, newest first."""
    sql = f"""SELECT {_COLUMNS} FROM reading r WHERE r.car = ? AND r.what IN ('peak_boost', 'steady_boost')
              AND r.engine_speed IS NOT NULL AND r.void_reason IS NULL ORDER BY r.taken_at DESC, r.id LIMIT ?"""
    return rows(db, ReadingRow, sql, car, limit)


def last_of(db: Connection, car: str, what: ReadingKind, under: Condition | None = None) -> ReadingRow | None:
    """The latest reading of a kind, under any condition (what the next one is most likely read with) or under one."""
    sql = f"SELECT {_COLUMNS} FROM reading r WHERE r.car = ? AND r.series BETWEEN ? AND ? AND r.void_reason IS NULL"
    series = (f"{what}.", f"{what}/") if under is None else (series_of(what, under),) * 2
    return row(db, ReadingRow, sql + " ORDER BY r.taken_at DESC LIMIT 1", car, *series)


def free_names(db: Connection, car: str) -> list[str]:
    """The names free readings of this car go by."""
    sql = "SELECT DISTINCT free_name FROM reading WHERE car = ? AND series BETWEEN 'free.' AND 'free/' ORDER BY 1"
    return rows(db, str, sql, car)


#: The last few readings of one series, oldest first and not empty, and what is usual.
Series = tuple[Sequence[ReadingRow], BaselineView | None]


def latest_readings(db: Connection, car: str) -> list[ReadingLine]:
    """The latest of each series with its baseline and past."""
    return [line_of(past, usual) for past, usual in every_series(db, car)]


@kept
def every_series(db: Connection, car: str) -> list[Series]:
    """The last few readings of each series with its baseline, in three queries however long the record."""
    usual = baselines(db, car)
    found = [list(group) for _, group in groupby(rows(db, ReadingRow, _LATEST, car), key=lambda one: one.series)]
    found.sort(key=lambda past: (_ORDER[past[-1].kind], past[-1].label))
    return [(past, usual.get(past[-1].series)) for past in found]


def line_of(past: Sequence[ReadingRow], baseline: BaselineView | None, over: str = "") -> ReadingLine:
    """One series as a line: `past` oldest first and not empty. All is shown on the scale of the latest reading.

    `over` says how far the latest is over the car's boost target.
    """
    last = past[-1]
    drawn = picture(last.label, tuple(one.si for one in past), last.scale, baseline.usual if baseline else None)
    placed = last.placed(baseline)
    return ReadingLine(
        last.id,
        last.series,
        last.label,
        f"usually {baseline.figures(last.scale)}" if baseline else "nothing usual yet",
        drawn,
        last.figure,
        last.scale.unit_label,
        placed is not None and placed.where is Where.OUTSIDE,
        last.taken_at,
        last.address,
        over,
    )


def address_of(car: str, what: ReadingKind, condition: Condition, free_name: str | None, unit: str) -> str:
    """Where the history of a series is shown."""
    if what is ReadingKind.FREE:
        return f"/cars/{car}/readings/{what}?" + urlencode({"name": free_name or "", "unit": unit})
    several = len(READINGS[what].conditions) > 1
    return f"/cars/{car}/readings/{what}" + (f"?condition={condition}" if several else "")


def chart_of(address: str) -> str:
    """Where the chart of a series is, from the address of its history."""
    path, mark, asked = address.partition("?")
    return f"{path}/drift{mark}{asked}"
