"""How long it will still take: the expected minutes of checks until the culprit is known."""

from collections.abc import Sequence

from app.triage.at_hand import EngineNow
from app.triage.order import SEARCHED, Job, leading_first, least_minutes

#: Minutes it costs to have gone for the wrong one, or for none: the car is searched end to end. Common practice, no
#: source.
SEARCHING_ON = 90.0


def minutes_left(jobs: Sequence[Job], unchecked: float = 0.0, engine: EngineNow | None = None) -> float:
    """Expected minutes until the culprit is known, by the best plan of at most seven of the `jobs`.

    A plan makes one check after the other until one finds the culprit: each costs its own minutes, opening its place if
    no check before it did, and cooling or warming the engine if the one before left it otherwise. When going on costs
    more than it saves the plan breaks off and goes for the likeliest suspect left, be it one a check has missed; for as
    often as that is wrong it costs `SEARCHING_ON` minutes more. `unchecked` is the likeliest suspect, of those that can
    be repaired at all, which no job is about.

    Each plan's cost is linear in the probabilities, and the least of them therefore concave: on average, what is seen
    and asked can only lower it.
    """
    by_ratio = [jobs[index] for index in leading_first(jobs, engine)]
    leading, rest = by_ratio[:SEARCHED], by_ratio[SEARCHED:]
    left, likeliest = [1.0], [max([unchecked, *(job.p + job.missed for job in rest)])]
    for job in leading:
        left += [each - job.p for each in left]
        likeliest = [max(each, job.p + job.missed) for each in likeliest] + [
            max(each, job.missed) for each in likeliest
        ]
    ends = [SEARCHING_ON * max(p - best, 0.0) for p, best in zip(left, likeliest, strict=True)]
    return least_minutes(leading, ends, engine)[0]
