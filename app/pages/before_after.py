"""Did it do anything? Pulls before and after a job or a day, in one gear, held against each other."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Annotated, Any

import numpy as np
from fastapi import APIRouter, HTTPException, Query, Request
from pydantic import ValidationError
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.forms import Filled
from app.pages.shell import garage_of, page
from app.pages.spark import plot, rows_of
from app.pages.verdicts import honest, verdict
from app.pages.which import the_car
from app.pages.words import count, plain
from app.pages.words import number as number_of
from app.records.before_after import NEAREST, Around, LogRuns, around, jobs_of, runs_of
from app.records.fields import Day, Fields, Flag, Number, key, moment_text, number, whole
from app.records.garage import Garage
from app.records.jobs import JobRow, job
from app.records.log_answers import follows_from
from app.records.memo import Memo
from app.records.refusals import plain as sentences
from app.records.traces import TraceRow
from app.traces.comparison import (
    Compared,
    Run,
    band_of,
    boost_in,
    compare,
    curve,
    gears_of,
    in_gear,
    passing,
    power_in,
    seconds_through,
)
from app.workings.power_correction import MISLEADS, Correction, dry_kpa, j1349
from app.workings.road_load import Load, air_density

router = APIRouter()

_ANSWERS: Memo[dict[str, Any]] = Memo(64)
_USUAL_C, _USUAL_KPA, _USUAL_HUMIDITY = 20.0, 101.3, 50.0
_TABLE_EVERY = 2  # rows of the curve


class Asked(Fields):
    """What may be typed: the band, the car as it stood, the air. An empty box leaves what is usual."""

    day: Day | None = key(default=None)
    gear: Number | None = number(default=None, gt=0, le=1000)
    from_rpm: Number | None = number(default=None, ge=500, le=20_000)
    to_rpm: Number | None = number(default=None, ge=500, le=20_000)
    mass_kg: Number | None = number(default=None, ge=300, le=5000)
    drag_area_m2: Number | None = number(default=None, ge=0.1, le=3)
    rolling: Number | None = number(default=None, ge=0, le=0.1)
    rotating: Number | None = number(default=None, ge=1, le=2)
    grade_percent: Number | None = number(default=None, ge=-25, le=25)
    air_before_c: Number | None = number(default=None, ge=-40, le=55)
    air_after_c: Number | None = number(default=None, ge=-40, le=55)
    humidity_percent: Number | None = number(default=None, ge=0, le=100)
    correct: Flag | None = whole(default=None)


_USUAL: Mapping[str, float] = {"drag_area_m2": 0.65, "rolling": 0.012, "rotating": 1.05, "grade_percent": 0.0}


@dataclass(frozen=True, slots=True)
class Side:
    """The runs of one side through the band, the air's temperature (°C) and pressure (kPa), and the correction."""

    runs: Sequence[Run]
    air_c: float | None
    kpa: float | None
    factor: Correction

    @property
    def density(self) -> float:
        """Of its air, kg/m³."""
        return air_density(self.kpa or _USUAL_KPA, _USUAL_C if self.air_c is None else self.air_c)


@router.get("/cars/{car_id}/before-after")
def show(
    request: Request,
    car_id: str,
    job_id: Annotated[str, Query(alias="job", max_length=200)] = "",
    log: Annotated[list[str], Query(max_length=50)] = [],  # noqa: B006  # FastAPI copies it
) -> Response:
    """Choose a job or a day; then what the pulls before and after it show."""
    garage = garage_of(request)
    query = request.query_params
    said = tuple((name, query[name]) for name in Asked.model_fields if name in query)
    asked, errors, form = _asked(said)
    more: dict[str, Any] = {"form": form, "MISLEADS": MISLEADS}
    with garage.read() as db:
        car, jobs = the_car(db, car_id), jobs_of(db, car_id)
        more |= {"jobs": jobs, "job": None, "around": None, "results": None, "day": asked.day}
        span = _span(db, car_id, job_id, asked.day)
        if span is None:
            return page(request, "before_after/show.html", car=car, status=422 if errors else 200, **more)
        more["job"], begins, ends = span
        found = around(db, car_id, begins, ends)
    sides = [_chosen(side, log) for side in (found.before, found.after)]
    more |= {"around": found, "sides": _offered(found, sides)} | _answered(garage, sides, said)
    return page(request, "before_after/show.html", car=car, status=422 if errors else 200, **more)


def _span(db: Connection, car: str, job_id: str, on_day: str | None) -> tuple[JobRow | None, str, str] | None:
    """The job, and from when to when the change was made; None where neither a job nor a day is chosen."""
    if job_id:
        found = job(db, job_id)
        if found is None or found.car != car:
            raise HTTPException(404, "There is no such job on this car.")
        return found, found.opened_at, found.closed_at or found.opened_at
    if on_day is None:
        return None
    begins = datetime.combine(date.fromisoformat(on_day), datetime.min.time()).astimezone()
    return None, moment_text(begins), moment_text(begins + timedelta(days=1))


def _chosen(side: Sequence[Any], named: Sequence[str]) -> list[Any]:
    return [one for one in side if one.id in named] if named else list(side[:NEAREST])


def _offered(found: Around, sides: Sequence[Sequence[Any]]) -> list[tuple[str, list[tuple[Any, bool]]]]:
    names = ("Before", "After")
    of = (found.before, found.after)
    return [(name, [(one, one in chosen) for one in side]) for name, side, chosen in zip(names, of, sides, strict=True)]


#: What is typed: pairs of a box and what stands in it.
Said = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Told:
    """What is said of one chosen log: how many pulls it has and the air they were made in, or why there are none."""

    pulls: int
    ambient_kpa: float | None
    intake_c: float | None
    why_not: str | None


def _answered(garage: Garage, sides: Sequence[Sequence[TraceRow]], said: Said) -> dict[str, Any]:
    """What is said of each log and of the two sides; kept at hand, since it takes going through every log's figures."""

    def make() -> dict[str, Any]:
        runs = [[runs_of(garage, one) for one in side] for side in sides]
        told = {
            one.log.id: Told(len(one.runs), one.ambient_kpa, one.intake_c, one.why_not) for side in runs for one in side
        }
        return {"told": told, "results": None, **_results(runs, _asked(said)[0])}

    key = tuple(tuple(follows_from(garage, one) for one in side) for side in sides), said
    # Why there are none may be that a file is not here yet.
    return _ANSWERS.get(key, make, keep=lambda found: not any(one.why_not for one in found["told"].values()))


def _results(told: Sequence[Sequence[LogRuns]], asked: Asked) -> dict[str, Any]:
    """Everything the page says of the runs: the gears there are, the band, the results and the curve."""
    first, second = ([run for one in side for run in one.runs] for side in told)
    gears = [one for one in gears_of([*first, *second]) if in_gear(first, one) and in_gear(second, one)]
    if not gears:
        return {"gears": [], "results": None}
    wanted = asked.gear or gears[0]
    ratio = min(gears, key=lambda one: abs(one - wanted))
    both = in_gear(first, ratio), in_gear(second, ratio)
    band = _band(asked, [*both[0], *both[1]])
    more: dict[str, Any] = {"gears": gears, "ratio": ratio, "band": band, "results": None}
    more |= {
        "gear_chosen": f"{ratio:.1f}",
        "gear_choices": [(f"{one:.1f}", _gear(one, first, second)) for one in gears],
    }
    if band is None:
        return more
    temperatures = (asked.air_before_c, asked.air_after_c)
    sides = [
        _side(passing(runs, band), logs, celsius, asked)
        for runs, logs, celsius in zip(both, told, temperatures, strict=True)
    ]
    if not all(one.runs for one in sides):
        return more
    results = _compared(sides, band, ratio, asked)
    more |= {
        "results": [verdict(one) for one in results],
        "sides_of": [replace(one, runs=()) for one in sides],
        "curve": _curve(sides, band),
    }
    return more | {"honest": honest(by_log=any(one.by_log for one in results)), "corrected": bool(asked.correct)}


def _gear(ratio: float, first: Sequence[Run], second: Sequence[Run]) -> str:
    found = len(in_gear(first, ratio)), len(in_gear(second, ratio))
    return f"{number_of(ratio, 1)} rpm per km/h: {count(found[0], 'pull')} before, {found[1]} after"


def _side(runs: Sequence[Run], logs: Sequence[LogRuns], celsius: float | None, asked: Asked) -> Side:
    airs = [one.ambient_kpa for one in logs if one.ambient_kpa is not None]
    kpa = float(np.median(airs)) if airs else None
    factor = Correction(1.0)
    if asked.correct and kpa is not None and celsius is not None:
        humid = _USUAL_HUMIDITY if asked.humidity_percent is None else asked.humidity_percent
        factor = j1349(dry_kpa(kpa, celsius, humid), celsius)
    return Side(runs, celsius, kpa, factor)


def _band(asked: Asked, runs: Sequence[Run]) -> tuple[float, float] | None:
    found = band_of(runs)
    low = asked.from_rpm or (found[0] if found else None)
    high = asked.to_rpm or (found[1] if found else None)
    return (low, high) if low is not None and high is not None and high - low >= 200 else None


def _compared(sides: Sequence[Side], band: tuple[float, float], ratio: float, asked: Asked) -> list[Compared]:
    boosts = [[(one.log, boost_in(one, band)) for one in side.runs] for side in sides]
    times = [[(one.log, seconds_through(one, band)) for one in side.runs] for side in sides]
    found = [compare("boost", "kPa absolute", *boosts), compare("seconds", "s", *times)]
    if asked.mass_kg:
        usable = all(side.factor.valid for side in sides)
        powers: list[list[tuple[str, float | None]]] = []
        for side in sides:
            stated = {name: getattr(asked, name) for name in _USUAL}
            figures = {name: _USUAL[name] if value is None else value for name, value in stated.items()}
            load = Load(
                asked.mass_kg,
                figures["drag_area_m2"],
                figures["rolling"],
                figures["rotating"],
                figures["grade_percent"],
                side.density,
            )
            factor = side.factor.factor if usable else 1.0
            made = [(one.log, power_in(one, band, ratio, load)) for one in side.runs]
            powers.append([(log, None if kw is None else kw * factor) for log, kw in made])
        found.append(compare("power", "kW", *powers))
    return [one for one in found if one is not None]


def _curve(sides: Sequence[Side], band: tuple[float, float]) -> dict[str, Any] | None:
    first, second = (curve(side.runs, band) for side in sides)
    before, after = (one.kpa[np.isfinite(one.kpa).all(axis=1)] for one in (first, second))
    if not before.size or not after.size:
        return None
    return {
        "plot": plot(first.rpm, before, after),
        "rows": rows_of(first.rpm, before, after, _TABLE_EVERY),
        "low": float(first.rpm[0]),
        "high": float(first.rpm[-1]),
    }


@lru_cache(maxsize=128)
def _asked(said: Said) -> tuple[Asked, Mapping[str, str], Filled]:
    """What is said in the boxes, what is wrong with it, and the boxes as they stand with it."""
    given = {name: value for name, value in said if name != "void_reason"}
    try:
        asked, errors = Asked.model_validate(given), dict[str, str]()
    except ValidationError as wrong:
        errors = dict(sentences(wrong))
        asked = Asked.model_validate({name: value for name, value in given.items() if name not in errors})
    return asked, errors, _form(dict(said), asked, errors)


def _form(query: Mapping[str, str], asked: Asked, errors: Mapping[str, str]) -> Filled:
    values = {name: plain(value) for name, value in asked.model_dump().items() if value is not None}
    usual = {name: plain(value) for name, value in _USUAL.items()}
    values = dict.fromkeys(Asked.model_fields, "") | usual | values
    return Filled(values | {name: query[name] for name in errors if name in query}, errors)
