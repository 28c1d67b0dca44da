"""The clock of a log: what its column says, in seconds; and a clock that repeats, falls back or begins anew."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from app.traces.file_form import Clock
from app.traces.trace import Samples

Text = NDArray[np.bytes_]

#: Clocks written as plain numbers, and how long one of theirs is, s.
NUMBERS: dict[Clock, float] = {"seconds": 1, "milliseconds": 1e-3, "minutes": 60, "epoch": 1, "epoch_ms": 1e-3}
#: Clocks that tell the day as well.
DATED: frozenset[Clock] = frozenset(("iso", "dmy", "mdy", "epoch", "epoch_ms"))
_DAY = 86_400.0
#: Texts of a day alone.
DAY = re.compile(r"\d{1,4}([-./])\d{1,2}\1\d{1,4}")
#: Rows that a single wrong stamp may put out of order; more, and the clock has begun anew.
_ASTRAY = 5
_LABELS: dict[Clock, str] = {
    "seconds": "seconds",
    "milliseconds": "milliseconds",
    "minutes": "minutes",
    "hms": "time of day or since the start, 10:40:05",
    "iso": "date and time, 2026-04-18 10:40:05",
    "dmy": "date and time, day first, 18.04.2026 10:40:05",
    "mdy": "date and time, month first, 04/18/2026 10:40:05",
    "epoch": "seconds since 1970",
    "epoch_ms": "milliseconds since 1970",
}
CLOCKS: Sequence[tuple[Clock, str]] = tuple(_LABELS.items())
"""The clocks that are read, and what each is called."""

_HMS = re.compile(r"(?:(\d{1,3}):)?(\d{1,2}):(\d{1,2})(?:[.,](\d{1,9}))?(?:\s*([AaPp])[Mm])?")
_FIRST = re.compile(r"(\d{1,4})[-./](\d{1,2})[-./](\d{1,4})[T ,]+(.+)")
_ZONE = re.compile(r"(?:Z|\s*([+-])(\d{2}):?(\d{2}))$")


def seconds_in(text: str, clock: Clock) -> float:
    """A clock's text in seconds: since midnight or the start for `hms`, since 1970 for what tells the day.

    NaN for what is no time. Without a zone, a day is taken as it stands, as if in UTC.
    """
    plain = text.strip()
    if clock in NUMBERS:
        try:
            return float(plain) * NUMBERS[clock] if "_" not in plain else np.nan
        except ValueError:
            return np.nan
    if clock == "hms":
        return _of_day(plain)
    east = 0.0
    if zone := _ZONE.search(plain):
        plain = plain[: zone.start()]
        if zone[1]:
            east = (int(zone[2]) * 3600 + int(zone[3]) * 60) * (1 if zone[1] == "+" else -1)
    found = _FIRST.fullmatch(plain)
    if found is None:
        return np.nan
    if clock == "iso" and len(found[1]) < 3:
        return np.nan  # two figures in front are a day or a month, not a year
    one, two, three, rest = int(found[1]), int(found[2]), int(found[3]), found[4]
    year, month, day = {"iso": (one, two, three), "dmy": (three, two, one), "mdy": (three, one, two)}[clock]
    return _midnight(year, month, day) + _of_day(rest) - east


def is_with_zone(text: str) -> bool:
    """Whether a date and time says in which zone it is."""
    return _ZONE.search(text.strip()) is not None


def _of_day(text: str) -> float:
    found = _HMS.fullmatch(text.strip())
    if found is None or int(found[2]) > 59 or int(found[3]) > 59:
        return np.nan
    hours = int(found[1] or 0)
    if found[5]:
        hours = hours % 12 + (12 if found[5] in "Pp" else 0)
    return hours * 3600 + int(found[2]) * 60 + int(found[3]) + float(f"0.{found[4] or 0}")


def seconds_of(texts: Text, clock: Clock) -> Samples:
    """The same of a whole column, as ASCII; texts of one shape are read at once."""
    found = np.full(texts.shape, np.nan)
    letters = texts.view(np.uint8).reshape(texts.size, -1) if texts.size else np.zeros((0, 1), np.uint8)
    lengths = np.char.str_len(texts)
    for length in np.unique(lengths):
        those = np.flatnonzero(lengths == length)
        found[those] = _alike(letters[those, :length], clock)
    return found


def _alike(letters: NDArray[np.uint8], clock: Clock) -> Samples:
    """Texts as long as each other. Those shaped as the first are reckoned together, the others one by one."""
    digit = (letters >= ord("0")) & (letters <= ord("9"))
    like_first = np.where(digit, 0, letters) == np.where(digit[0], 0, letters[0])
    same = like_first.all(axis=1)
    found = np.empty(len(letters))
    text = letters[0].tobytes().decode("ascii", "replace")
    base = _groups(text, clock)
    if base is None:
        same[:] = False
    else:
        found[same] = base(letters[same].astype(np.int64) - ord("0"))
    for place in np.flatnonzero(~same):
        found[place] = seconds_in(letters[place].tobytes().decode("ascii", "replace"), clock)
    return found


def _groups(text: str, clock: Clock) -> Callable[[NDArray[np.int64]], Samples] | None:
    """How texts shaped as this one are reckoned together; None where they have to be read one by one."""
    spans = [found.span() for found in re.finditer(r"\d+", text)]
    wanted = {"hms": 3, "iso": 6, "dmy": 6, "mdy": 6}[clock]
    odd = text.strip() != text or _ZONE.search(text) or text[-1:] in "mM" or np.isnan(seconds_in(text, clock))
    if odd or len(spans) not in {wanted, wanted + 1} or (len(spans) > wanted) != bool(re.search(r"[.,]\d+$", text)):
        return None

    def reckoned(digits: NDArray[np.int64]) -> Samples:
        parts = [digits[:, a:b] @ (10 ** np.arange(b - a - 1, -1, -1)) for a, b in spans]
        hours, minutes, seconds = parts[wanted - 3 : wanted]
        found: Samples = (hours * 3600 + minutes * 60 + seconds).astype(float)
        if len(spans) > wanted:
            found += parts[wanted] / 10.0 ** (spans[wanted][1] - spans[wanted][0])
        found[(minutes > 59) | (seconds > 59)] = np.nan
        if wanted == 6:
            found += _midnights(parts[:3], clock)
        return found

    return reckoned


def _midnights(parts: list[NDArray[np.int64]], clock: Clock) -> Samples:
    one, two, three = parts
    year, month, day = {"iso": (one, two, three), "dmy": (three, two, one), "mdy": (three, one, two)}[clock]
    days = (year * 16 + month) * 64 + day  # few days: each is looked up in the calendar once
    each, which = np.unique(days, return_inverse=True)
    return np.array([_midnight(int(d) // 1024, int(d) // 64 % 16, int(d) % 64) for d in each])[which]


def _midnight(year: int, month: int, day: int) -> float:
    try:
        # A year of two digits is one of this century: no logger is older.
        return datetime(year if year > 99 else year + 2000, month, day, tzinfo=UTC).timestamp()
    except ValueError:
        return np.nan


@dataclass(frozen=True, slots=True)
class InOrder:
    """Stamps put in order: which rows stay (their numbers), their seconds, and what was done about it.

    `out` holds the rows left out with the reason for each; `notes` what else a person should know.
    """

    rows: NDArray[np.intp]
    at: Samples
    out: Sequence[tuple[int, str]]
    notes: Sequence[str]


def in_order(stamps: Samples, clock: Clock) -> InOrder:
    """Stamps, s, none NaN, so that they never fall. See the module's head for what becomes of those that do."""
    at = stamps
    notes: list[str] = []
    if clock == "hms" and at.size:
        at = at + _DAY * np.concatenate([[0], np.cumsum(np.diff(at) < -_DAY / 2)])
    keep = np.ones(at.size, bool)
    begun_anew: list[int] = []
    out: list[tuple[int, str]] = []
    for fall in np.flatnonzero(np.diff(at) < 0) + 1:
        _mend(at, keep, int(fall), begun_anew, out)
    rows = np.flatnonzero(keep)
    if begun_anew:
        edges = [0, *begun_anew, at.size]
        spans = [rows[(rows >= a) & (rows < b)] for a, b in pairwise(edges)]
        rows = max(spans, key=len)
        left = sum(len(one) for one in spans) - len(rows)
        why = "the clock began anew: only the longest stretch is kept"
        out += [(int(one), why) for span in spans if span is not rows for one in span]
        notes.append(f"The clock began anew {len(begun_anew)} times. The longest stretch is kept, {left} rows are not.")
    still = int((np.diff(at[rows]) == 0).sum())
    spread = _spread(at[rows])
    if still and spread is not None:
        notes.append("Several rows bear the same time, as the clock is coarse; they are spread evenly over its step.")
    elif still:
        notes.append(f"{still} rows bear the same time as the one before; they are kept.")
    return InOrder(rows, at[rows] if spread is None else spread, sorted(out), notes)


def _mend(at: Samples, keep: NDArray[np.bool_], fall: int, anew: list[int], out: list[tuple[int, str]]) -> None:
    """Leave out what makes `at` fall at row `fall`, whichever are fewer: a few stamps too low, or a few too high.

    Where it is neither, the clock begins anew there.
    """
    begun = anew[-1] if anew else 0
    near = np.arange(max(begun, fall - 4 * _ASTRAY), fall)
    near = near[keep[near]]
    if not near.size or not keep[fall] or at[fall] >= at[near[-1]]:
        return
    back = np.flatnonzero(at[fall : fall + _ASTRAY + 1] >= at[near[-1]])
    low = np.arange(fall, fall + int(back[0])) if back.size else near[:0]
    high = near[at[near] > at[fall]]
    if not high.size <= min(_ASTRAY, near.size - 1):
        high = near[:0]
    if low.size and (not high.size or low.size <= high.size):
        those, why = low, "the time falls back"
    elif high.size:
        those, why = high, "the time runs ahead and then falls back"
    else:
        anew.append(fall)
        return
    keep[those] = False
    out += [(int(row), why) for row in those]


def _spread(at: Samples) -> Samples | None:
    """Stamps of a clock coarser than the rows, spread evenly over its step; None for one that is not."""
    if at.size < 3:
        return None
    steps = np.flatnonzero(np.diff(at) > 0) + 1
    if not steps.size or at.size < 2 * (steps.size + 1):
        return None
    edges = np.concatenate([[0], steps, [at.size]])
    counts = np.diff(edges)
    values = at[edges[:-1]]
    usual = float(np.median(np.diff(values)))
    lengths = np.append(np.minimum(np.diff(values), usual), usual)
    inside = np.arange(at.size) - np.repeat(edges[:-1], counts)
    spread: Samples = np.repeat(values, counts) + inside * np.repeat(lengths / counts, counts)
    return spread
