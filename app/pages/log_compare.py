"""Two logs of a car laid over each other: one channel of each, against engine speed or against time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.pages.log_charts import figure_of, number_in, plain_of
from app.pages.shell import garage_of, page
from app.records.garage import Garage
from app.records.log_answers import answered
from app.records.traces import NoTraceError, TraceRow, trace_row, traces_of
from app.traces.overlay import WIDE_OPEN, Bin, by_speed, by_time, is_wide_open
from app.traces.trace import Trace
from app.traces.words import label_of, unit_of

router = APIRouter()

#: Steps of engine speed, rpm: of the table, and of the lines.
STEP, FINE_STEP = 500.0, 100.0
#: Points of a line against time.
_POINTS = 800
_USUAL = "manifold_pressure"
#: What may be asked of two logs.
_BOXES = ("channel", "by", "wide_open", "a_from", "b_from", "seconds")
#: What is laid over each other where there are no two logs with figures.
_NOTHING: dict[str, Any] = {
    "asked": None,
    "channels": [],
    "tells_throttle": False,
    "label": "",
    "unit": "",
    "steps": [],
    "lines": None,
}


@dataclass(frozen=True, slots=True)
class Asked:
    """What is laid over what. `starts`: where each log begins to count against time, s; `seconds` from there."""

    by: str
    channel: str
    wide_open: bool
    starts: tuple[float, float]
    seconds: float


@router.get("/logs/compare")
def compare(request: Request) -> Response:
    """Choose two logs, a channel and what they lie against; see both lines, and both in steps of 500 rpm."""
    garage, query = garage_of(request), request.query_params
    with garage.read() as db:
        first = trace_row(db, query.get("a", ""))
        if first is None:
            raise HTTPException(404, "There is no such log.")
        logs = [one for one in traces_of(db, first.car) if one.form is not None]
    others = [one for one in logs if one.id != first.id]
    second = next((one for one in others if one.id == query.get("b")), None)
    found, wrong = _found(garage, first, second, query)
    return page(
        request,
        "logs/compare.html",
        first=first,
        second=second,
        others=others,
        wrong=wrong,
        wide_open=WIDE_OPEN,
        **found,
    )


def _found(
    garage: Garage, first: TraceRow, second: TraceRow | None, query: Mapping[str, str]
) -> tuple[dict[str, Any], str | None]:
    if second is None:
        return _NOTHING, None
    said = tuple((name, query[name]) for name in _BOXES if name in query)
    try:
        return answered(garage, (first, second), _laid_over, said), None
    except NoTraceError as error:
        return _NOTHING, str(error)


def _laid_over(first: Trace, second: Trace, said: Sequence[tuple[str, str]]) -> dict[str, Any]:
    traces = (first, second)
    shared = [name for name in first.channels if name in second.channels]
    asked = _asked(dict(said), traces, shared) if shared else None
    return {
        "asked": asked,
        "channels": [(name, label_of(name)) for name in shared if name != "engine_speed"],
        "tells_throttle": all(is_wide_open(one) is not None for one in traces),
        "label": label_of(asked.channel) if asked else "",
        "unit": unit_of(asked.channel) if asked else "",
        "steps": _steps(traces, asked) if asked else [],
        "lines": _lines(traces, asked) if asked else None,
    }


def _asked(query: Mapping[str, str], traces: Sequence[Trace], shared: Sequence[str]) -> Asked:
    usual = _USUAL if _USUAL in shared else next((name for name in shared if name != "engine_speed"), shared[0])
    channel = query.get("channel", usual)
    longest = max(one.seconds for one in traces)
    starts = tuple(min(max(0.0, number_in(query.get(name), 0.0)), longest) for name in ("a_from", "b_from"))
    seconds = number_in(query.get("seconds"), longest)
    return Asked(
        "time" if query.get("by") == "time" or not all(one.has("engine_speed") for one in traces) else "speed",
        channel if channel in shared else usual,
        query.get("wide_open") == "yes",
        (starts[0], starts[1]),
        min(seconds, longest) if seconds > 0 else longest,
    )


def _steps(traces: Sequence[Trace], asked: Asked) -> list[tuple[str, str, str, str]]:
    """Engine speed from, mean of the first, of the second, and how much more the second shows."""
    first, second = (
        {one.start: one for one in by_speed(trace, asked.channel, STEP, wide_open=asked.wide_open)} for trace in traces
    )
    return [
        (f"{start:.0f}", *_beside(first.get(start), second.get(start)))
        for start in sorted(first.keys() | second.keys())
    ]


def _beside(first: Bin | None, second: Bin | None) -> tuple[str, str, str]:
    means = [one.mean if one else None for one in (first, second)]
    more = None if means[0] is None or means[1] is None else means[1] - means[0]
    # Three digits: a difference of two means is no finer.
    said = "–" if more is None else f"{float(f'{more:.3g}'):+g}".replace("-", "\N{MINUS SIGN}")
    return figure_of(means[0]), figure_of(means[1]), said


def _lines(traces: Sequence[Trace], asked: Asked) -> dict[str, Any]:
    """Both lines on one axis, for static/bay/log-overlay.js."""
    if asked.by == "time":
        grid = np.linspace(0.0, asked.seconds, _POINTS)
        found = [by_time(one, asked.channel, start, grid) for one, start in zip(traces, asked.starts, strict=True)]
        return {"by": "time", "at": [round(one, 3) for one in grid.tolist()], "lines": [plain_of(one) for one in found]}
    binned = [by_speed(one, asked.channel, FINE_STEP, wide_open=asked.wide_open) for one in traces]
    at = sorted({one.start for bins in binned for one in bins})
    means = [{one.start: one.mean for one in bins} for bins in binned]
    lines = [plain_of(np.array([one.get(start, np.nan) for start in at])) for one in means]
    return {"by": "speed", "at": [start + FINE_STEP / 2 for start in at], "lines": lines}
