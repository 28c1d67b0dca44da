"""The chart of one series of readings: whether it drifts, since when, and what was touched just before."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.readings import ReadingKind
from app.pages.drift_figure import DriftFigure, figure_of
from app.pages.readings import series_asked, the_kind
from app.pages.shell import garage_of, page
from app.pages.which import the_car
from app.records.drift import RULE_OF
from app.records.drift_chart import DriftChart, drift_chart
from app.records.kept import kept_today
from app.workings.drift import ENOUGH, Rule
from app.workings.spread import Where

router = APIRouter()

#: How each chart judges, in a sentence.
RULE_SAID = {
    Rule.EWMA: "The weighted mean: the newest reading counts three tenths and each older one less, so a slow slide "
    "shows before any single reading is outside.",
    Rule.CUSUM: "The cumulative sum: what each reading is off by, beyond half a spread, is added up, so a small "
    "difference that stays shows in the end.",
    Rule.INDIVIDUALS: "Single readings: one further off than three spreads has moved; nothing is averaged.",
}
#: Why that one judges this kind of reading.
WHY = {
    ReadingKind.IDLE_VACUUM: "It judges vacuum, since a hose that hardens or a gasket that gives leaks a little more "
    "each month.",
    ReadingKind.FIRST_START_VACUUM: "It judges vacuum, since a store that leaks holds a little less each month.",
    ReadingKind.AIRFLOW_IDLE: "It judges airflow, since a meter that gets dirty or a leak behind it moves it slowly.",
    ReadingKind.FUEL_TRIM_IDLE: "It judges trims, since they wander from drive to drive and only what stays counts.",
    ReadingKind.FUEL_TRIM_LOAD: "It judges trims, since they wander from drive to drive and only what stays counts.",
    ReadingKind.PEAK_BOOST: "It judges boost, since gear and weather move each pull and only a loss that stays counts.",
    ReadingKind.STEADY_BOOST: "It judges boost, since gear and weather move each pull and only a loss that stays "
    "counts.",
    ReadingKind.VACUUM_RECOVERY: "They judge what is timed by hand, since a stopwatch in a moving car is no ground for "
    "sums.",
    ReadingKind.FREE: "They judge readings of your own, since tyres and fluids are topped up, which ends any sum.",
}


_PLACED = {Where.INSIDE: "as usual", Where.EDGE: "at the edge", Where.OUTSIDE: "outside"}


@dataclass(frozen=True, slots=True)
class Line:
    """A row of the table: when, what (a figure, a job, a part), what is said of it, and where it leads."""

    at: str
    what: str
    said: str
    address: str
    sort: str


@router.get("/cars/{car_id}/readings/{kind}/drift")
def show(request: Request, car_id: str, kind: str) -> Response:
    """The chart, how it is judged, and the same as a table."""
    what = the_kind(kind)
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        drawn = _drawn(db, car_id, series_asked(what, request.query_params))
    if drawn is None:
        raise HTTPException(404, "There is no such reading on this car yet.")
    return page(
        request,
        "readings/drift.html",
        car=car,
        rule=RULE_OF[what],
        rule_said=RULE_SAID[RULE_OF[what]],
        why=WHY[what],
        known={},
        **drawn,
    )


@kept_today
def _drawn(db: Connection, car_id: str, series: str) -> dict[str, Any] | None:
    chart = drift_chart(db, car_id, series)
    if chart is None:
        return None
    last = chart.readings[-1]
    figure = figure_of(chart, last.label)
    return {
        "chart": chart,
        "last": last,
        "figure": figure,
        "lines": sorted(_lines(chart, figure), key=lambda line: line.at, reverse=True),
        "missing": max(ENOUGH - chart.healthy, 0),
    }


def _lines(chart: DriftChart, figure: DriftFigure) -> Iterator[Line]:
    scale, verdict = chart.readings[-1].scale, chart.judged
    drift = verdict.drift if verdict else None
    for n, one in enumerate(chart.readings):
        placed = one.placed(chart.usual)
        said = [_PLACED[placed.where]] if placed else []
        if figure.means:
            said.append(f"weighted mean {scale.figure(figure.means[n])}")
        if verdict and verdict.sums:
            high, low = verdict.sums[n]
            said.append(f"sums {high:.1f} up, {low:.1f} down")
        if drift and n == drift.since:
            said.append("the drift begins")
        shown = f"{scale.figure(figure.figures[n])} {scale.unit_label}"
        yield Line(one.taken_at, shown, ", ".join(said), f"/readings/{one.id}", "reading")
    for work in chart.work:
        yield Line(work.at, work.what, "part changed" if work.is_part else "job", f"/jobs/{work.job}", "work")
