"""How figures and moments are written on a page."""

import time
from collections.abc import Callable, Iterable
from datetime import UTC, date, datetime
from functools import lru_cache
from typing import Any

from app.records.refusals import label_of
from app.records.wrenches import WrenchRow
from app.triage.signs import NEED_LABEL, Need
from app.workings.units import TorqueUnit, unit_of

#: A full space that does not break: a thin one all but closes up in the page's narrow letters.
_SPACE = "\N{NO-BREAK SPACE}"


@lru_cache(maxsize=8192)
def local(moment: str) -> datetime:
    """A stored UTC moment on this machine's clock."""
    return datetime.fromisoformat(moment).astimezone()


def today() -> date:
    """The date on this machine's clock."""
    return _date_of(int(time.time() // 60))


@lru_cache(maxsize=2)
def _date_of(minute: int) -> date:
    # A long list asks for the date once a row; a day begins on a whole minute in every time zone.
    return datetime.fromtimestamp(minute * 60, UTC).astimezone().date()


def day(text: str) -> str:
    """A day in words: today, yesterday, a weekday of the past week, or 18 Apr 2026."""
    return _day(text, today())


@lru_cache(maxsize=8192)
def _day(text: str, now: date) -> str:
    when = local(text).date() if "T" in text else date.fromisoformat(text)
    back = (now - when).days
    near = {0: "today", 1: "yesterday", -1: "tomorrow"}
    if back in near:
        return near[back]
    if 1 < back < 7:
        return f"{when:%A}"
    return f"{when.day} {when:%b %Y}"


def moment(text: str) -> str:
    """A moment in words: today 10:40, or 18 Apr 2026 10:40."""
    return f"{day(text)} {clock(text)}"


def clock_in(seconds: float) -> str:
    """A moment of a log: `12:05.4`, minutes and seconds since its beginning."""
    tenths = round(seconds * 10)
    return f"{tenths // 600}:{tenths // 10 % 60:02d}.{tenths % 10}"


def on_paper(text: str) -> str:
    """A moment as paper keeps it, which is read on other days too: 18 Apr 2026 10:40."""
    when = local(text)
    return f"{when.day} {when:%b %Y} {clock(text)}"


def clock(text: str) -> str:
    """The time of day of a moment."""
    when = local(text)
    return f"{when.hour:02}:{when.minute:02}"


def told(text: str) -> str:
    """A stored moment or day in words. Any other text as it is: a part's number may well look like a day."""
    try:
        if len(text) == 24 and text.endswith("Z"):
            return moment(text)
        return day(text) if len(text) == 10 and text[4] == text[7] == "-" else text
    except ValueError:
        return text


def for_input(text: str | None) -> str:
    """A stored moment as a datetime-local input takes it; the present minute when there is none."""
    when = local(text) if text else datetime.now(UTC).astimezone()
    return when.strftime("%Y-%m-%dT%H:%M")


def number(value: float | None, places: int | None = None) -> str:
    """A figure with spaces between thousands; without `places`, as many decimals as it needs, up to two."""
    if value is None:
        return "–"
    text = f"{value:,.{places}f}" if places is not None else f"{value:,.2f}".rstrip("0").rstrip(".")
    return (text if text.strip("-0.") else text.lstrip("-")).replace(",", _SPACE).replace("-", "\N{MINUS SIGN}")


def plain(value: object) -> str:
    """A value as an input takes it: no thousands mark, no trailing nought, yes or no for a flag."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def distance(figure: float | None, unit: str) -> str:
    """A distance or an odometer figure, in the unit the car's own odometer reads."""
    return "–" if figure is None else f"{number(figure, 0)}{_SPACE}{unit}"


def count(n: int, one: str, many: str | None = None) -> str:
    """`1 loose end`, `2 loose ends`."""
    return f"{n} {one if n == 1 else many or one + 's'}"


def in_days(text: str) -> str:
    """How far off a day is: today, in 3 days, 2 days ago."""
    when = local(text).date() if "T" in text else date.fromisoformat(text)
    off = (when - today()).days
    if off == 0:
        return "today"
    return f"in {count(off, 'day')}" if off > 0 else f"{count(-off, 'day')} ago"


def due(text: str) -> str:
    """When something is to arrive: `due Friday`, `due 24 Apr 2026`, `was due yesterday`."""
    when = date.fromisoformat(text)
    ahead = (when - today()).days
    said = f"{when:%A}" if 1 < ahead < 7 else day(text)
    return f"was due {said}" if ahead < 0 else f"due {said}"


def headline(text: str) -> str:
    """The first line of a note, cut where it would fill the screen."""
    line = text.strip().split("\n")[0]
    return line if len(line) <= 80 else line[:79] + "…"


def percent(share: float) -> str:
    """A probability as a whole percentage; what is small but not nothing never shows as 0."""
    whole = round(share * 100)
    return "under 1%" if whole < 1 else f"{whole}%"


def roughly(minutes: float) -> str:
    """A time that is expected, no finer than it can be known: `8 min`, `45 min`."""
    step = 1 if minutes < 10 else 5
    return f"{max(round(minutes / step) * step, 1)} min"


def needed(needs: Iterable[Need]) -> str:
    """What a step needs: `a smoke machine and someone else to watch`."""
    return " and ".join(NEED_LABEL[need] for need in needs)


def inside(name: str) -> str:
    """A component's name as it reads inside a sentence: "at the throttle", but "at the EGR valve"."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def torque(figure: float, unit: str) -> str:
    """A torque with its unit; below 20 always with a decimal, as it stands on a wrench."""
    text = number(figure, 1) if figure < 20 and round(figure, 1) == round(figure, 2) else number(figure)
    return f"{text}{_SPACE}{unit_of(unit, TorqueUnit).label}"


def wrench_range(one: WrenchRow) -> str:
    """Between which settings a torque wrench may be used, in its own unit: `10 to 60 N·m`."""
    largest = f"{number(one.largest)}{_SPACE}{unit_of(one.unit, TorqueUnit).label}"
    return f"up to {largest}" if one.smallest is None else f"{number(one.smallest)} to {largest}"


FILTERS: dict[str, Callable[..., Any]] = {
    "day": day,
    "moment": moment,
    "clock": clock,
    "clock_in": clock_in,
    "on_paper": on_paper,
    "told": told,
    "for_input": for_input,
    "number": number,
    "plain": plain,
    "distance": distance,
    "count": count,
    "in_days": in_days,
    "due": due,
    "headline": headline,
    "percent": percent,
    "roughly": roughly,
    "needed": needed,
    "label": label_of,
    "inside": inside,
    "torque": torque,
    "wrench_range": wrench_range,
}
