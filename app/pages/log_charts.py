"""The chart of a log: its figures, thinned for a screen; and the stretches over the car's boost target."""

from dataclasses import dataclass
from math import inf
from typing import Any, NamedTuple
from urllib.parse import urlencode

import numpy as np
from fastapi import APIRouter, HTTPException, Request
from starlette.responses import JSONResponse, Response

from app.pages.forms import Form
from app.pages.shell import garage_of, see
from app.records.boost_targets import boost_target
from app.records.garage import Garage
from app.records.log_answers import answered
from app.records.logbook import now
from app.records.overboost import is_looked_at, over_in, reads, said
from app.records.traces import NoTraceError, TraceRow, trace_of, trace_row
from app.traces.read import ambient_of
from app.traces.thin import Thinned, spread_of, thinned, within
from app.traces.trace import Samples, Trace
from app.traces.words import label_of, unit_of

router = APIRouter()

#: Shown at first, if they are there; then whatever else there is, up to so many.
_FIRST = ("engine_speed", "manifold_pressure", "throttle", "boost_duty")
SHOWN_AT_FIRST = 3
#: More channels than these are not drawn at a time, and a chart has no more columns than the largest screen.
MOST_CHANNELS, MOST_COLUMNS = 24, 4000
#: A window is no shorter, s: beyond it there is nothing more to see.
SHORTEST = 0.5


@dataclass(frozen=True, slots=True)
class Window:
    """What of a log is looked at: from `start` to `end` s, and which channels."""

    start: float
    end: float
    channels: list[str]

    def moved(self, way: str, seconds: float) -> "Window":
        """The window one step on: closer, wider, earlier, later, or whole; never outside a log of `seconds`."""
        wide, middle = self.end - self.start, (self.start + self.end) / 2
        wide = {"closer": wide / 2, "wider": wide * 2, "whole": seconds}.get(way, wide)
        wide = min(max(wide, min(SHORTEST, seconds)), seconds)
        middle += {"earlier": -wide / 2, "later": wide / 2}.get(way, 0.0)
        start = min(max(middle - wide / 2, 0.0), seconds - wide)
        return Window(start, start + wide, self.channels)

    @property
    def asks(self) -> str:
        """The same as a query."""
        asked = [("from", f"{self.start:.3f}"), ("to", f"{self.end:.3f}"), *(("channel", one) for one in self.channels)]
        return urlencode(asked)


class Asked(NamedTuple):
    """What an address asks to see of a log: from when to when, s, and which channels, as far as it says."""

    start: float
    end: float
    channels: frozenset[str]

    @classmethod
    def of(cls, request: Request) -> "Asked":
        """What it does not say, or says in no figure, is the whole."""
        asked = request.query_params
        start, end = number_in(asked.get("from"), 0.0), number_in(asked.get("to"), inf)
        return cls(start, end, frozenset(asked.getlist("channel")))


def window_of(asked: Asked, trace: Trace) -> Window:
    """The window that is asked for; what lies beyond the log is the whole of it."""
    start, end = max(0.0, min(asked.start, trace.seconds)), max(0.0, min(asked.end, trace.seconds))
    if end - start < min(SHORTEST, trace.seconds):
        start, end = 0.0, trace.seconds
    channels = [name for name in trace.channels if name in asked.channels]
    return Window(start, end, (channels or _at_first(trace))[:MOST_CHANNELS])


@router.get("/logs/{log_id}/samples")
def samples(request: Request, log_id: str) -> Response:
    """Some channels over a window, with at most two points for each of `columns` columns, and their spread in it."""
    trace = _the_trace(garage_of(request), log_id)
    asked = request.query_params.get("columns", "")
    columns = min(int(asked), MOST_COLUMNS) if asked.isdigit() and 0 < len(asked) < 6 else 400
    window = window_of(Asked.of(request), trace)
    found = thinned(trace, window.channels, window.start, window.end, max(1, columns))
    return JSONResponse(_told(trace, window, found), headers={"cache-control": "no-store"})


@router.post("/logs/{log_id}/over-target")
def looked_at(request: Request, log_id: str, form: Form) -> Response:
    """What went over target was looked at: it leaves the page of the car."""
    garage = garage_of(request)
    with garage.read() as db:
        if trace_row(db, log_id) is None:
            raise HTTPException(404, "There is no such log.")
    fixed = {"trace": log_id, "looked_at": now(), "void_reason": None}
    outcome = garage.take(form.entry("overboost", log_id, fixed, only=("note",)))
    if outcome.outcome == "refused":
        raise HTTPException(422, "Make the note shorter.")
    return see(f"/logs/{log_id}")


def chart_of(request: Request, log: TraceRow) -> dict[str, Any]:
    """What the template of a log's chart needs; `chart` is None where there are no figures to show.

    `logged_kpa` is the air around the car by the log's own barometer, None without.
    """
    garage = garage_of(request)
    try:
        shown = answered(garage, (log,), _charted, Asked.of(request))
    except NoTraceError as error:
        return {"chart": None, "no_chart": str(error), "over": [], "logged_kpa": None}
    with garage.read() as db:
        view, seen = boost_target(db, log.car), is_looked_at(db, log.id)
    over = over_in(garage, log, view)
    return {
        **shown,
        "over": [(one, said(one, view), reads(one, view)) for one in over] if view else [],
        "looked_at": seen,
    }


def _charted(trace: Trace, asked: Asked) -> dict[str, Any]:
    window = window_of(asked, trace)
    chart = _told(trace, window, None)
    return {
        "chart": chart,
        "window": window,
        "ways": chart["ways"],
        "logged_kpa": ambient_of(trace),
        "all_channels": [(name, label_of(name), unit_of(name), name in window.channels) for name in trace.channels],
        "seconds": trace.seconds,
    }


def figure_of(value: float | None) -> str:
    """A figure of a log as written: four digits of it, and no fewer than stand before its point."""
    if value is None:
        return "–"
    return (f"{value:.0f}" if abs(value) >= 1000 else f"{value:.4g}").replace("-", "\N{MINUS SIGN}")


def plain_of(figures: Samples) -> list[float | None]:
    """The same for a script: nothing where there is no figure."""
    # Five digits are finer than any screen.
    return [float(f"{one:.5g}") if np.isfinite(one) else None for one in figures.tolist()]


def number_in(text: str | None, otherwise: float) -> float:
    """A figure of an address, a decimal comma taken too; `otherwise` for what is none."""
    try:
        found = float(text.replace(",", ".")) if text else otherwise
    except ValueError:
        return otherwise
    return found if np.isfinite(found) else otherwise


def _told(trace: Trace, window: Window, found: Thinned | None) -> dict[str, Any]:
    part = within(trace, window.start, window.end)
    channels = []
    for name in window.channels:
        spread = spread_of(trace.channels[name][part])
        figures = [figure_of(one) for one in (spread.low, spread.mean, spread.high)]
        told: dict[str, Any] = {"name": name, "label": label_of(name), "unit": unit_of(name), "spread": figures}
        channels.append(told | ({"figures": plain_of(found.channels[name])} if found else {}))
    at = {"at": [round(float(one), 3) for one in found.at]} if found else {}
    ways = {way: window.moved(way, trace.seconds).asks for way in ("earlier", "closer", "wider", "later", "whole")}
    return {"from": window.start, "to": window.end, "channels": channels, "ways": ways, **at}


def _the_trace(garage: Garage, log_id: str) -> Trace:
    try:
        return trace_of(garage, log_id)
    except NoTraceError as error:
        raise HTTPException(404, str(error)) from None


def _at_first(trace: Trace) -> list[str]:
    first = [name for name in _FIRST if trace.has(name)]
    others = [name for name in trace.channels if name not in first and trace.has(name)]
    wanted = {*(first + others)[:SHOWN_AT_FIRST]}
    return [name for name in trace.channels if name in wanted]
