"""The words of a chart: what a box asks in few words, and what an answer to it is called."""

from collections import Counter
from collections.abc import Mapping, Sequence

from app.airpath.words import Role
from app.triage.answers import NextStep
from app.triage.check_words import METHOD_LABEL
from app.triage.checks import check_named
from app.triage.codes import GROUP_LABEL, NO_CODES
from app.triage.inputs import Candidate
from app.triage.signs import CODES, NEED_LABEL, SIGNS, Need

#: A space no line breaks at.
KEPT = "\N{NO-BREAK SPACE}"

_CODES_NAME = "Trouble codes"
_CHECK_LABEL = {"fault": "Shows a fault", "fine": "Nothing found"}
#: Said by the name of the step itself.
_UNSAID = frozenset({Need.CODE_READER, Need.HAND_VACUUM_PUMP, Need.FIRST_START, Need.SPARE_PART})
#: Checks done alike on a line and on a part; those of parts alone have names of their own.
_OF_MANY = frozenset({"smoke", "soapy_water"})


def short_names(candidates: Sequence[Candidate]) -> dict[str, str]:
    """By id, a candidate's name without where it leads ("Gauge hose, manifold to tee"), where that is still its own."""
    heads = Counter(_head(candidate.label) for candidate in candidates)
    return {
        candidate.id: head if heads[head := _head(candidate.label)] == 1 else candidate.label
        for candidate in candidates
    }


def step_name(step: NextStep, candidates: Mapping[str, Candidate], names: Mapping[str, str]) -> str:
    """What to ask or check, in few words. KeyError for a sign, method or candidate that is none."""
    if step.candidate_id is None:
        return _CODES_NAME if step.key == CODES else SIGNS[step.key].label
    candidate, name = candidates[step.candidate_id], names[step.candidate_id]
    if isinstance(candidate.role, Role) or step.key in _OF_MANY:
        return f"{METHOD_LABEL[step.key]}: {name}"
    check = check_named(candidate, step.key).label
    return check if name.lower() in check.lower() else f"{check}: {name}"


def work_words(step: NextStep) -> str:
    """What it takes: `3 min, engine running`."""
    needs = (NEED_LABEL[need] for need in step.needs if need not in _UNSAID)
    return ", ".join((minutes(step), *needs))


def minutes(step: NextStep) -> str:
    """How long it takes: `3 min`."""
    return f"{step.minutes:.0f}{KEPT}min"


def answer_label(step: NextStep, outcomes: Sequence[str]) -> str:
    """What an answer is called, or several that lead the same way: `Slowly, or not at all`.

    KeyError for an outcome that is not the step's.
    """
    first, *rest = (_answer(step, outcome) for outcome in outcomes)
    return first + "".join(f", or {label[:1].lower()}{label[1:]}" for label in rest)


def percent(share: float) -> str:
    """A probability as a whole percentage; what is small but not nothing never shows as 0."""
    whole = round(share * 100)
    return "under 1%" if whole < 1 else f"{whole}%"


def _answer(step: NextStep, outcome: str) -> str:
    if step.kind == "check":
        return _CHECK_LABEL[outcome]
    if step.key == CODES:
        return "None stored" if outcome == NO_CODES else _of_codes(GROUP_LABEL[outcome])
    return {known.key: known.label for known in SIGNS[step.key].outcomes}[outcome]


def _of_codes(label: str) -> str:
    said = label.removeprefix("a code for ").removeprefix("a ").removeprefix("an ").removeprefix("the ")
    return said[:1].upper() + said[1:]


def _head(label: str) -> str:
    return label.partition(", ")[0]
