"""Days as an iCalendar file (RFC 5545): one all-day entry each, for whatever calendar the person keeps.

Section numbers below are those of RFC 5545.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime

#: What the answer to a request says of itself (section 8.1).
MEDIA_TYPE = "text/calendar; charset=utf-8"
#: The most octets of a line, its break not counted (section 3.1).
LINE = 75

_PRODUCT = "-//Witnessmark//Due days//EN"
_ESCAPES = {"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"}
# Section 3.3.11 leaves no room for control characters but the tab.
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


@dataclass(frozen=True, slots=True)
class DueDay:
    """One day in the calendar.

    `uid` names it for good, so that taken in again it changes and is not doubled (section 3.8.4.7). `changed_at` is
    when it was last changed, with its offset from UTC.
    """

    uid: str
    day: date
    title: str
    more: str
    changed_at: datetime


def calendar(name: str, days: Iterable[DueDay]) -> str:
    """The whole file as text, every line ended by CR and LF; `name` is what calendars may call it."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{_PRODUCT}", "CALSCALE:GREGORIAN", f"X-WR-CALNAME:{text(name)}"]
    for one in days:
        lines += _event(one)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded(line)}\r\n" for line in lines)


def text(value: str) -> str:
    """A text as a property holds it (section 3.3.11): breaks, commas, semicolons and backslashes are escaped."""
    whole = _CONTROL.sub("", value.replace("\r\n", "\n").replace("\r", "\n"))
    return "".join(_ESCAPES.get(one, one) for one in whole)


def folded(line: str) -> str:
    """A line in pieces of at most 75 octets, each further one led by a space (section 3.1); no letter is cut."""
    return "\r\n ".join(_pieces(line))


def unfolded(lines: str) -> str:
    """What `folded` was given (section 3.1: a break with a blank after it is taken out)."""
    return re.sub("\r\n[ \t]", "", lines)


def _pieces(line: str) -> Iterator[str]:
    piece: list[str] = []
    octets, room = 0, LINE
    for letter in line:
        size = len(letter.encode())
        if octets + size > room:
            yield "".join(piece)
            piece, octets, room = [], 0, LINE - 1  # the space in front counts
        piece.append(letter)
        octets += size
    yield "".join(piece)


def _event(one: DueDay) -> list[str]:
    # Without DTEND a day is a whole day (section 3.6.1); nobody is busy because of it (section 3.8.2.7).
    return [
        "BEGIN:VEVENT",
        f"UID:{text(one.uid)}",
        f"DTSTAMP:{one.changed_at.astimezone(UTC):%Y%m%dT%H%M%SZ}",
        f"DTSTART;VALUE=DATE:{one.day:%Y%m%d}",
        f"SUMMARY:{text(one.title)}",
        *([f"DESCRIPTION:{text(one.more)}"] if one.more else []),
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
    ]
