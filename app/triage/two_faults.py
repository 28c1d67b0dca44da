"""Two faults: one was found and repaired, the car is still not right, and what was seen before may be of either.

What is seen after the repair is the second fault's alone. What was seen before it, both may have shown: each fault is
taken to show by itself, as its own row of the table has it, and

    healthy          only when both look healthy:      a(healthy) b(healthy)
    another outcome  when one or both show it; of two that show differently either may be the one noticed:
                     [a(o) (1 + b(healthy)) + b(o) (1 + a(healthy))] / 2
    a code           when either sets it:              1 - (1 - a)(1 - b)

with a and b the two faults' chances. The first two add up to 1 over a sign's outcomes. This is our own judgement: no
published figures tell how two such faults look together.
"""

from collections.abc import Sequence

from app.triage.codes import NO_CODES
from app.triage.inputs import CheckResult, Repaired
from app.triage.knowledge.table import Knowledge
from app.triage.seen import Seen
from app.triage.signs import CODES

#: How often a repair does not hold, or was of the right thing and not the whole of it. Common practice, no source.
DID_NOT_HOLD = 0.1

#: What stands in for a kind of row: the repaired candidate, at fault again.
REPAIRED = "repaired"


def shown_before(know: Knowledge, seen: Seen, first: str, second: str) -> float:
    """P(outcome) of a sign seen before the repair, under a first fault of one kind and a second of another."""
    a, b = know.chance[seen.sign][first], know.chance[seen.sign][second]
    if seen.sign == CODES and seen.outcome != NO_CODES:
        return 1 - (1 - a[seen.index]) * (1 - b[seen.index])
    if seen.index == 0:
        return a[0] * b[0]
    return (a[seen.index] * (1 + b[0]) + b[seen.index] * (1 + a[0])) / 2


def repaired_once(weights: Sequence[float], place: int) -> list[float]:
    """The weights with the repaired candidate's, at `place`, made such that it is to blame as often as repairs fail."""
    changed = list(weights)
    changed[place] = (sum(weights) - weights[place]) * DID_NOT_HOLD / (1 - DID_NOT_HOLD)
    return changed


def checks_that_count(since: Sequence[CheckResult], repaired: Repaired) -> tuple[CheckResult, ...]:
    """The checks that still tell: those since the repair, and of those before it all but the repaired one's."""
    still = [check for check in repaired.checks if check.candidate_id != repaired.candidate_id]
    return (*still, *since)
