"""What a comparison comes to, in plain words."""

from dataclasses import dataclass

from app.pages.words import count, number
from app.traces.comparison import WORTH_SHOWING, Compared

#: What each figure is called, how many decimals it is told with, and the words for more and less of it.
_TOLD = {
    "boost": ("Boost", 1, "higher", "lower"),
    "seconds": ("Time through the band", 2, "longer", "shorter"),
    "power": ("Power at the wheels", 1, "more", "less"),
}


@dataclass(frozen=True, slots=True)
class Verdict:
    """One figure before and after: its name, the two means, what is to be said, and why."""

    label: str
    before: str
    after: str
    unit: str
    verdict: str
    because: str
    shows: bool


def verdict(one: Compared) -> Verdict:
    """How a comparison reads."""
    label, places, more, less = _TOLD[one.key]
    first, second = one.means
    unit, of = one.unit, one.unit.split(" ")[0]  # a difference of pressures is neither absolute nor by a gauge
    run = "log" if one.by_log else "pull"
    counted = f"From {count(len(one.before), run)} before and {len(one.after)} after."

    def made(said: str, because: str, *, shows: bool = False) -> Verdict:
        return Verdict(label, number(first, places), number(second, places), unit, said, because, shows)

    interval = one.interval
    if interval is None:
        return made(
            "Too few runs to say", f"{counted} It takes two on each side, at the least, to know how far runs scatter."
        )
    least, most = sorted((interval.low, interval.high), key=abs)
    ends = [f"{number(abs(bound), places)} {of} {more if bound > 0 else less}" for bound in (least, most)]
    between = f"19 times in 20 the true difference lies between {ends[0]} and {ends[1]}."
    if interval.shows:
        off = abs(interval.difference)
        share = f" ({off / abs(first):.1%})".replace("%", "\N{NO-BREAK SPACE}%") if first else ""
        word = more if interval.difference > 0 else less
        return made(f"{number(off, places)} {of} {word}{share}", f"{counted} {between}", shows=True)
    return made("No change that these runs can show", f"{counted} {between} {_needed(one, run)}")


def _needed(one: Compared, run: str) -> str:
    share = f"{WORTH_SHOWING:.0%}".replace("%", "\N{NO-BREAK SPACE}%")
    if one.more is None:
        return f"They scatter too far for any number of runs to show {share}."
    if one.more == 0:
        return f"A change of {share} would most likely have shown."
    return f"About {count(one.more, f'more {run}')} on each side would show {share}."


def honest(*, by_log: bool) -> str:
    """What the interval holds and what it does not."""
    if by_log:
        return (
            "Each log counts as one run, so what differs from drive to drive (weather, fuel, road) is in the interval. "
            "Each statement by itself is wrong once in 20."
        )
    return (
        "The interval knows how far pulls scatter, and nothing of what differs from one drive to another: weather, "
        "fuel, road, wind, load. With three logs on each side it would. Each statement by itself is wrong once in 20."
    )
