"""What a car's parts cost: by job, by stage and by year, each currency for itself. Nothing is ever added across two."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.kept import kept
from app.records.rows import rows


@dataclass(frozen=True, slots=True)
class Sum:
    """What was spent and what is only wanted yet, in one currency (ISO 4217)."""

    currency: str
    spent: float
    wanted: float


@dataclass(frozen=True, slots=True)
class Line:
    """One job, stage or year; `id` is that of the job or stage. `name` is None for what belongs to none."""

    id: str | None
    name: str | None
    sums: Sequence[Sum]


@dataclass(frozen=True, slots=True)
class Money:
    """What a car's page of money shows. `unpriced` counts parts ordered, here or fitted of which no price is known."""

    all: Sequence[Sum]
    by_stage: Sequence[Line]
    by_job: Sequence[Line]
    by_year: Sequence[Line]
    unpriced: int


# A part is paid for on the day it was ordered; where nobody wrote that down, the first day it was known to be there.
_PRICED = """
SELECT p.currency, p.price, p.state = 'wanted', s.id, s.name, s.step, j.id, j.title, j.opened_at,
       substr(coalesce(p.ordered_on, p.arrived_on, p.fitted_at), 1, 4)
FROM part p LEFT JOIN stage s ON s.id = p.stage AND s.void_reason IS NULL
LEFT JOIN job j ON j.id = p.job AND j.void_reason IS NULL
WHERE p.car = ? AND p.void_reason IS NULL AND p.price IS NOT NULL
"""
_UNPRICED = """
SELECT count(*) FROM part WHERE car = ? AND void_reason IS NULL AND price IS NULL
AND state IN ('ordered', 'here', 'fitted') AND kind <> 'work'
"""


@dataclass(frozen=True, slots=True)
class _Priced:
    currency: str
    price: float
    is_wanted: int
    stage: str | None
    stage_name: str | None
    step: int | None
    job: str | None
    job_title: str | None
    opened_at: str | None
    year: str | None


@kept
def money_of(connection: Connection, car: str) -> Money:
    """What a car's parts cost; two queries."""
    parts = rows(connection, _Priced, _PRICED, car)
    (unpriced,) = rows(connection, int, _UNPRICED, car)
    spent = [one for one in parts if not one.is_wanted]
    stages = sorted(parts, key=lambda one: (one.step is None, one.step or 0, one.stage or ""))
    jobs = sorted(spent, key=lambda one: (one.job is not None, one.opened_at or "", one.job or ""), reverse=True)
    years = sorted(spent, key=lambda one: one.year or "", reverse=True)
    return Money(
        _sums(parts),
        _lines((one.stage, f"{one.step}. {one.stage_name}" if one.stage else None, one) for one in stages),
        _lines((one.job, one.job_title, one) for one in jobs),
        _lines((one.year, one.year, one) for one in years),
        unpriced,
    )


def _lines(parts: Iterable[tuple[str | None, str | None, _Priced]]) -> list[Line]:
    found: dict[tuple[str | None, str | None], list[_Priced]] = {}
    for key, name, one in parts:
        found.setdefault((key, name), []).append(one)
    return [Line(key, name, _sums(those)) for (key, name), those in found.items()]


def _sums(parts: Iterable[_Priced]) -> list[Sum]:
    by: Mapping[str, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for one in parts:
        by[one.currency][one.is_wanted] += one.price
    return [Sum(currency, spent, wanted) for currency, (spent, wanted) in sorted(by.items())]
