"""The car's own healthy values: as its owner states them, or learned from the readings marked healthy."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from statistics import median
from typing import NamedTuple

from sqlalchemy import Connection

from app.airpath.readings import READINGS, Condition, ReadingKind
from app.records.kept import kept
from app.records.kinds.reading import series_of
from app.records.rows import row, rows
from app.records.shown import Scale, decimals
from app.records.si import ambient_kpa, unit_in_si
from app.workings.spread import EDGE_SPREADS, Baseline, learn

#: How many of the latest healthy readings a baseline is learned from: old ones tell of another engine.
LEARN_FROM = 40


@dataclass(frozen=True, slots=True)
class BaselineView:
    """One baseline. `usual` is in SI (kPa absolute for a pressure), its count 0 when it was typed in.

    `unit` and `basis` are those it was typed or last read in, `air_kpa` the air it was stated or learned in.
    """

    series: str
    what: ReadingKind
    condition: Condition
    usual: Baseline
    unit: str
    basis: str | None
    air_kpa: float | None

    @property
    def typed(self) -> bool:
        """Whether its owner stated it; what is typed wins over what is learned."""
        return self.usual.count == 0

    @property
    def scale(self) -> Scale:
        """The scale it was stated or learned on."""
        return Scale(self.what, self.unit, self.basis, self.air_kpa)

    def figures(self, scale: Scale) -> str:
        """`19.5 ± 0.6 inHg`: the usual range as it would read on `scale`."""
        return f"{self.range(scale)} {scale.unit_label}"

    def range(self, scale: Scale) -> str:
        """`19.5 ± 0.6`, without the unit."""
        either_side = EDGE_SPREADS * self.usual.spread / scale.one
        return f"{scale.figure(scale.shown(self.usual.centre))} ± {scale.spread(either_side)}"


@dataclass(frozen=True, slots=True)
class _Typed:
    what: str
    condition: str
    centre_si: float
    spread_si: float
    unit: str
    basis: str | None
    barometer_value: float | None
    barometer_unit: str | None
    altitude_m: float | None


class _Healthy(NamedTuple):
    id: str
    series: str
    what: str
    condition: str
    value: float
    unit: str
    basis: str | None
    si: float
    ambient_kpa: float | None


_TYPED = """
SELECT what, condition, centre_si, spread_si, unit, basis, barometer_value, barometer_unit, altitude_m
FROM baseline WHERE car = ? AND void_reason IS NULL
"""

# From one series to the next by index, then the last few of each: a look-up per series, however long the record.
_SERIES = """
WITH RECURSIVE one(series) AS (
  SELECT min(series) FROM reading INDEXED BY ix_reading_healthy
  WHERE car = ?1 AND void_reason IS NULL AND healthy = 1
  UNION ALL
  SELECT (SELECT min(series) FROM reading INDEXED BY ix_reading_healthy
          WHERE car = ?1 AND void_reason IS NULL AND healthy = 1 AND series > one.series)
  FROM one WHERE one.series IS NOT NULL)
"""
_ONE_SERIES = "WITH one(series) AS (SELECT ?2 AS series)"
_LAST_OF_EACH = f"""
SELECT r.id, r.series, r.what, r.condition, r.value, r.unit, r.basis, r.si, r.ambient_kpa
FROM one CROSS JOIN reading r ON r.rowid IN (
  SELECT rowid FROM reading h INDEXED BY ix_reading_healthy
  WHERE h.car = ?1 AND h.series = one.series AND h.void_reason IS NULL AND h.healthy = 1
  ORDER BY h.taken_at DESC LIMIT {LEARN_FROM})
"""
_UNLESS_TYPED = """
WHERE NOT EXISTS (SELECT 1 FROM baseline b WHERE b.car = ?1 AND b.void_reason IS NULL
                  AND b.what || '.' || b.condition = one.series)
"""
_IN_ORDER = "ORDER BY r.series, r.taken_at"


@dataclass(frozen=True, slots=True)
class Stated:
    """A baseline as its owner typed it."""

    centre: float
    spread: float
    unit: str
    basis: str | None
    barometer_value: float | None
    barometer_unit: str | None
    altitude_m: float | None
    note: str | None


def stated(db: Connection, car: str, kind: ReadingKind, condition: Condition) -> Stated | None:
    """What was typed for one kind and condition; None where nothing was, or it was struck out."""
    sql = """SELECT centre, spread, unit, basis, barometer_value, barometer_unit, altitude_m, note
             FROM baseline WHERE car = ? AND what = ? AND condition = ? AND void_reason IS NULL"""
    return row(db, Stated, sql, car, kind, condition)


@kept
def baselines(db: Connection, car: str) -> dict[str, BaselineView]:
    """Every baseline of the car by series, in two queries."""
    typed = {view.series: view for view in map(_view, rows(db, _Typed, _TYPED, car))}
    learned = rows(db, _Healthy, _SERIES + _LAST_OF_EACH + _UNLESS_TYPED + _IN_ORDER, car)
    return typed | _by_series(learned)


@kept
def healthy_of(db: Connection, car: str) -> dict[str, list[tuple[str, float, float]]]:
    """The healthy readings each series learns from, oldest first: id, SI figure, and the least difference it shows."""
    found: dict[str, list[tuple[str, float, float]]] = {}
    for one in rows(db, _Healthy, _SERIES + _LAST_OF_EACH + _IN_ORDER, car):
        kind = ReadingKind(one.what)
        found.setdefault(one.series, []).append((one.id, one.si, _resolution(kind, [one])))
    return found


def baseline_of(db: Connection, car: str, kind: ReadingKind, condition: Condition) -> BaselineView | None:
    """One baseline; None where none was typed and no reading was ever marked healthy."""
    return baseline_in(db, car, series_of(kind, condition))


def baseline_in(db: Connection, car: str, series: str) -> BaselineView | None:
    """The baseline of one series (a free kind has one for each name and unit)."""
    typed = rows(db, _Typed, _TYPED + " AND what || '.' || condition = ?", car, series)
    return _view(typed[0]) if typed else learned_in(db, car, series)


def learned_in(db: Connection, car: str, series: str) -> BaselineView | None:
    """What the readings marked healthy say, whatever was typed."""
    return _by_series(rows(db, _Healthy, _ONE_SERIES + _LAST_OF_EACH + _IN_ORDER, car, series)).get(series)


def _view(typed: _Typed) -> BaselineView:
    what, condition = ReadingKind(typed.what), Condition(typed.condition)
    is_pressure = READINGS[what].quantity == "pressure"
    air = ambient_kpa((typed.barometer_value, typed.barometer_unit, typed.altitude_m)) if is_pressure else None
    usual = Baseline(typed.centre_si, typed.spread_si, 0)
    return BaselineView(series_of(what, condition), what, condition, usual, typed.unit, typed.basis, air)


def _by_series(healthy: Iterable[_Healthy]) -> dict[str, BaselineView]:
    return {series: _learned(tuple(group)) for series, group in groupby(healthy, key=lambda one: one.series)}


@lru_cache(maxsize=512)  # the same healthy readings always teach the same, and a page asks for all of them each time
def _learned(healthy: tuple[_Healthy, ...]) -> BaselineView:
    last = healthy[-1]
    what = ReadingKind(last.what)
    air = [one.ambient_kpa for one in healthy if one.ambient_kpa is not None]
    return BaselineView(
        last.series,
        what,
        Condition(last.condition),
        learn([one.si for one in healthy], _resolution(what, healthy)),
        last.unit,
        last.basis,
        median(air) if air else None,
    )


def _resolution(what: ReadingKind, healthy: Iterable[_Healthy]) -> float:
    # The least difference the gauge was read to, told by the decimals someone took the trouble to write.
    kind = READINGS[what]
    return min(unit_in_si(kind, one.unit) * 10.0 ** -decimals(round(one.value, 3)) for one in healthy)
