"""The same model as one JSON object of plain numbers, for a script that multiplies, normalises and sorts.

    chance(c) ~ exp(c.prior + sum over signs seen of logs[sign][c.kind][place of the outcome in outcomes[sign]])

A trouble code counts as an outcome of the sign `codes`: the group it belongs to, each group once. The script needs no
knowledge of cars: words come with the numbers.
"""

from collections.abc import Mapping, Sequence
from math import log

from app.triage.codes import GROUP_LABEL, GROUP_OF
from app.triage.facts import Facts
from app.triage.inputs import Candidate, Touched
from app.triage.knowledge.table import OUTCOMES, knowledge
from app.triage.model import kind_of, with_standing
from app.triage.next_step import CODES_MINUTES, CODES_QUESTION
from app.triage.priors import weigh
from app.triage.signs import CODES, SIGNS

_DIGITS = 12

#: What JSON can hold.
Plain = str | int | float | bool | None | Mapping[str, "Plain"] | Sequence["Plain"]


def plain_numbers(
    facts: Facts,
    candidates: Sequence[Candidate],
    touched: Sequence[Touched] = (),
    taught: Mapping[str, int] | None = None,
) -> dict[str, Plain]:
    """The model of one car today, ready for `json.dumps`: `signs`, `codes`, `candidates`, `logs`, `reasons`.

    Rows are kept once per kind and candidates point at them; a sign that tells nothing on this car is left out.
    Raises nothing of its own.
    """
    everyone = with_standing(facts, candidates)
    know = knowledge(facts)
    kinds = sorted({kind_of(candidate) for candidate in everyone})
    signs = [sign for sign in OUTCOMES if sign in know.speaks]
    return {
        "version": 1,
        "signs": {sign: _sign(sign) for sign in signs},
        "codes": dict(GROUP_OF),
        "candidates": [
            {
                "id": candidate.id,
                "role": candidate.role.value,
                "label": candidate.label,
                "kind": kinds.index(kind_of(candidate)),
                "prior": round(log(prior.weight), _DIGITS),
                "untouched": round(log(prior.untouched), _DIGITS),
                "why": [{"by": round(factor.by, 3), "reason": factor.reason} for factor in prior.factors],
            }
            for candidate, prior in zip(everyone, weigh(everyone, touched, taught or {}), strict=True)
        ],
        "logs": {sign: [[round(each, _DIGITS) for each in know.logs[sign][kind]] for kind in kinds] for sign in signs},
        "reasons": {sign: [know.rows[sign][kind].reason for kind in kinds] for sign in signs},
    }


def _sign(sign: str) -> Plain:
    if sign == CODES:
        return {
            "question": CODES_QUESTION,
            "minutes": CODES_MINUTES,
            "outcomes": list(OUTCOMES[CODES]),
            "labels": list(GROUP_LABEL.values()),
            "phrases": list(GROUP_LABEL.values()),
        }
    asked = SIGNS[sign]
    return {
        "question": asked.question,
        "minutes": asked.minutes,
        "outcomes": list(asked.outcome_keys),
        "labels": [outcome.label for outcome in asked.outcomes],
        "phrases": [outcome.phrase for outcome in asked.outcomes],
    }
