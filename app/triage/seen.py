"""What was seen, as the table reads it: each sign by the place of its outcome, each group of codes by itself."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.triage.codes import GROUP_LABEL, NO_CODES, sort_codes
from app.triage.knowledge.table import OUTCOMES, Knowledge
from app.triage.signs import CODES, SIGNS


@dataclass(frozen=True, slots=True)
class Seen:
    """One observation the table can use: a sign and the place of its outcome in OUTCOMES[sign]."""

    sign: str
    outcome: str
    index: int
    reason: str


@dataclass(frozen=True, slots=True)
class Sorted:
    """What the table can use, the codes it cannot, and the signs that tell nothing on this car."""

    seen: tuple[Seen, ...]
    unused_codes: tuple[str, ...]
    unused_signs: tuple[str, ...]


def sort_seen(know: Knowledge, signs: Mapping[str, str], codes: tuple[str, ...] | None) -> Sorted:
    """Split what was seen into what the table can use and what it cannot.

    Raises KeyError for an unknown sign, ValueError for an outcome that is not the sign's.
    """
    seen: list[Seen] = []
    unused: list[str] = []
    for sign, outcome in signs.items():
        if outcome not in OUTCOMES[sign]:
            raise ValueError(f"{outcome} is not an outcome of {sign}")
        if sign in know.speaks:
            seen.append(Seen(sign, outcome, OUTCOMES[sign].index(outcome), SIGNS[sign].phrase(outcome)))
        else:
            unused.append(sign)
    if codes is None:
        return Sorted(tuple(seen), (), tuple(unused))
    groups, unused_codes = sort_codes(codes)
    for group, those in groups:
        seen.append(Seen(CODES, group, OUTCOMES[CODES].index(group), f"{', '.join(those)}: {GROUP_LABEL[group]}"))
    if not codes:
        seen.append(Seen(CODES, NO_CODES, OUTCOMES[CODES].index(NO_CODES), GROUP_LABEL[NO_CODES]))
    return Sorted(tuple(seen), unused_codes, tuple(unused))
