"""The chart of a car as its record stands on some day, and that of a layout, which has no record."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import lru_cache, partial

from sqlalchemy import Connection

from app.airpath.layouts import StarterLayout
from app.records.cars import CarRow
from app.records.kept import kept
from app.records.suspects import Case, ranked, weighed
from app.records.tickets import nothing_yet
from app.triage.chart.figure import Chart
from app.triage.chart.sheet import Sheet, fits_the_paper, sheet_of
from app.triage.chart.tree import chart_of
from app.triage.inputs import Evidence
from app.triage.model import Ranking
from app.triage.starter import candidates_of, facts_of_starter

#: No ticket bears it: the chart is of a fault nobody has noticed yet.
_NO_TICKET = "chart"


@dataclass(frozen=True, slots=True)
class ChartView:
    """A chart with its drawing, and what it counted.

    Of `touches` the oldest was made at the moment `since` (None without any); `lessons` are this garage's closed
    tickets; of the `suspects`, `patched` are held by a stopgap and `aged` have an age.
    """

    chart: Chart
    sheet: Sheet
    suspects: int
    touches: int = 0
    since: str | None = None
    lessons: int = 0
    patched: int = 0
    aged: int = 0


@kept
def chart_of_car(connection: Connection, car: CarRow, at: str) -> ChartView:
    """The questions the model would ask for this car of a fault first noticed at the moment `at`, of which nothing
    is known yet. Kept for as long as it is asked for the same moment: the end of a day serves that whole day.
    """
    ticket = nothing_yet(_NO_TICKET, car, at)
    case = weighed(connection, car, [ticket])[ticket.id].case
    chart = chart_of(case.facts, case.candidates, partial(_ranked, case), fits_the_paper, overrules=case.overrules)
    oldest = max((touch.days_ago for touch in case.touched if touch.days_ago is not None), default=None)
    return ChartView(
        chart,
        sheet_of(chart),
        len(case.candidates),
        touches=len(case.touched),
        since=None if oldest is None else _before(at, oldest),
        lessons=sum(times for _, times in case.taught),
        patched=sum(candidate.stopgap for candidate in case.candidates),
        aged=sum(candidate.age_years is not None for candidate in case.candidates),
    )


@lru_cache(maxsize=8)
def chart_of_layout(starter: StarterLayout) -> ChartView:
    """The same for any car of this layout: nothing touched, nothing learned, every line as old as the next."""
    facts, candidates = facts_of_starter(starter), tuple(candidates_of(starter))
    case = Case(facts, candidates, touched=(), signs=(), codes=None, checks=(), taught=())
    chart = chart_of(facts, candidates, partial(_ranked, case), fits_the_paper)
    return ChartView(chart, sheet_of(chart), len(candidates))


def _ranked(case: Case, evidence: Evidence) -> Ranking:
    # As a ticket of this case would be ranked, only not remembered: nobody asks for these again.
    answers = tuple(evidence.signs.items())
    return ranked.__wrapped__(replace(case, signs=answers, codes=evidence.codes, checks=evidence.checks))


def _before(at: str, days: float) -> str:
    return (datetime.fromisoformat(at) - timedelta(days=days)).isoformat()
