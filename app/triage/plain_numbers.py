"""The same model as plain numbers in JSON, for a script that multiplies, normalises and sorts.

    chance(c) ~ (prior of c + what touches add) x product over signs seen of rows[sign][c.kind][outcome]

Words come with the numbers, so the script needs no knowledge of cars. What several share is written once and pointed
at by its place: a row of the table is its grades as digits, the suspects that read it point at it by kind.

It comes in two, since a phone keeps the greater part: what holds for every fault of a car, and what belongs to one
fault. static/bay/model.js puts them together: the case's candidates add to the car's, one by one in their order, and
its checks stand behind the car's.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from app.airpath.words import MATERIAL_LABEL, Material, Suspect, TouchKind
from app.triage import contradictions, next_step, touches
from app.triage.answers import NOT_NOTABLE
from app.triage.codes import GROUP_LABEL, GROUP_OF, NO_CODES
from app.triage.facts import Facts
from app.triage.inputs import Candidate, Touched
from app.triage.knowledge.grades import Grade, Row
from app.triage.knowledge.overrules import Overrule
from app.triage.knowledge.table import OUTCOMES, Knowledge, knowledge
from app.triage.minutes_left import SEARCHING_ON
from app.triage.model import kind_of, with_standing
from app.triage.next_step import CODES_MINUTES
from app.triage.order import SEARCHED
from app.triage.plain_sheets import Plain, Sheets, plain_needed, plain_needs
from app.triage.priors import Prior, weigh
from app.triage.signs import CODES, SIGNS, Need
from app.triage.two_faults import DID_NOT_HOLD

__all__ = ["Plain", "plain_car", "plain_case", "plain_touches"]

_GRADES = tuple(Grade)
_HOWS = tuple(TouchKind)
_DAY_DIGITS = 9  # a tenth of a millisecond
_STOPGAP = "stopgap"  # the key of its factor


def plain_car(facts: Facts, candidates: Sequence[Candidate], overrules: Sequence[Overrule] = ()) -> dict[str, Plain]:
    """What is the same for every fault of a car, ready for `json.dumps`; a sign that tells nothing on it is left out.

    A candidate's age, and whether a stopgap holds it, make no difference here. Raises as
    `app.triage.knowledge.table.knowledge` does for an overrule of what there is not.
    """
    everyone = with_standing(facts, candidates)
    know = knowledge(facts, tuple(overrules))
    kinds = sorted({kind_of(candidate) for candidate in everyone})
    roles = sorted({candidate.role.value for candidate in everyone})
    sheets = Sheets(facts)
    return {
        "version": 4,
        "grades": [[grade.value, grade.words] for grade in _GRADES],
        "kinds": len(kinds),
        "vague": [place for place, kind in enumerate(kinds) if kind == Suspect.SOMETHING_ELSE],
        "roles": list[Plain](roles),
        "signs": {sign: _sign(know, sign, kinds, facts) for sign in OUTCOMES if sign in know.speaks},
        "codes": _codes(),
        "needed": plain_needed(),
        "patched": _patched(everyone[0]),
        "candidates": [
            _candidate(candidate, kinds.index(kind_of(candidate)), roles, sheets.usual(candidate))
            for candidate in everyone
        ],
        "checks": sheets.written,
        "touch": _touch_rules(),
        "limits": _LIMITS,
    }


def plain_case(
    facts: Facts,
    candidates: Sequence[Candidate],
    touched: Sequence[Touched] = (),
    taught: Mapping[str, int] | None = None,
    tried: Iterable[tuple[str, str]] = (),
) -> dict[str, Plain]:
    """What belongs to one fault: how likely each candidate is before anything was seen, and what was touched.

    `tried` are the checks already made, (candidate id, method): one that is unusual for its candidate comes along.
    Raises KeyError for an unknown method or touched candidate.
    """
    everyone = with_standing(facts, candidates)
    made: dict[str, list[str]] = {}
    for candidate, method in tried:
        made.setdefault(candidate, []).append(method)
    sheets, first = Sheets(facts), 0
    if made:
        for each in everyone:
            sheets.usual(each)
        first = len(sheets.written)
    return {
        "candidates": [
            _before(candidate, prior, sheets.unusual(candidate, made.get(candidate.id, ())))
            for candidate, prior in zip(everyone, weigh(everyone, (), taught or {}), strict=True)
        ],
        "checks": sheets.written[first:],
        "touches": plain_touches(everyone, touched),
    }


_LIMITS: Mapping[str, Plain] = {
    "ask": next_step.WORTH_ASKING_BITS,
    "leading": next_step.LEADING,
    "blame": next_step.ALL_THE_BLAME,
    "check": next_step.WORTH_CHECKING,
    "searched": SEARCHED,
    "search": SEARCHING_ON,
    "held": DID_NOT_HOLD,
    "seldom": contradictions.SELDOM,
    "explained": contradictions.EXPLAINED,
    "doubts": contradictions.AT_MOST,
    "notable": NOT_NOTABLE,
}


def _sign(know: Knowledge, sign: str, kinds: Sequence[str], facts: Facts) -> Plain:
    """Its outcomes with their phrases, and its rows: grades as digits, and the reason where one is written."""
    outcomes = OUTCOMES[sign]
    rows: dict[str, int] = {}
    written: list[Plain] = []
    of: list[Plain] = []
    for kind in kinds:
        row = know.rows[sign][kind]
        key = f"{_digits(row, outcomes)} {row.reason}"
        if key not in rows:
            rows[key] = len(written)
            written.append([_digits(row, outcomes), row.reason] if row.reason else [_digits(row, outcomes)])
        of.append(rows[key])
    return {"outcomes": list[Plain](outcomes), "rows": written, "of": of} | _words(sign, facts)


def _digits(row: Row, outcomes: Sequence[str]) -> str:
    return "".join(str(_GRADES.index(row.grade(outcome))) for outcome in outcomes)


def _words(sign: str, facts: Facts) -> dict[str, Plain]:
    if sign == CODES:
        # Each group of codes is seen or not by itself, whatever the others show.
        return {
            "apart": True,
            "minutes": CODES_MINUTES,
            "needs": plain_needs((Need.CODE_READER,)),
            "phrases": list[Plain](GROUP_LABEL.values()),
        }
    asked = SIGNS[sign]
    words: dict[str, Plain] = {
        "label": asked.label.lower(),
        "minutes": asked.minutes,
        "needs": plain_needs(asked.needs),
        "phrases": [outcome.phrase for outcome in asked.outcomes],
    }
    return words if asked.asked_on(facts) else words | {"unasked": True}


def _codes() -> Plain:
    members: dict[str, list[str]] = {}
    for code, group in GROUP_OF.items():
        members.setdefault(group, []).append(code)
    return {"none": NO_CODES, "groups": {group: " ".join(codes) for group, codes in members.items()}}


def _candidate(candidate: Candidate, kind: int, roles: Sequence[str], checks: list[int]) -> Plain:
    found: dict[str, Plain] = {
        "id": candidate.id,
        "label": candidate.label,
        "kind": kind,
        "role": roles.index(candidate.role.value),
    }
    extras: dict[str, Plain] = {
        "checks": list[Plain](checks),
        "material": candidate.material.value if candidate.material else None,
        "place": candidate.place,
        "access": candidate.access_minutes,
        # Of it nobody knows what to repair; a suspect of one's own under that role is a thing.
        "nothing": candidate.role is Suspect.SOMETHING_ELSE and candidate.behaves_like is None,
    }
    return found | _if_any(extras) | _unless_one(ready=touches.READINESS.get(candidate.role, 1.0))


def _before(candidate: Candidate, prior: Prior, tried: list[int]) -> Plain:
    # Whether a stopgap holds it may change on the phone, so that is left out of the figure.
    extras: dict[str, Plain] = {
        "why": [[round(factor.by, 9), factor.reason] for factor in prior.factors if factor.key != _STOPGAP],
        "patched": candidate.stopgap,
        "tried": list[Plain](tried),
    }
    # Few figures compress well, and these are far finer than a ranking is held to.
    found: dict[str, Plain] = {"prior": float(f"{prior.weight / prior.patched:.12g}")}
    return found | _if_any(extras) | _unless_one(age=touches.by_age(candidate))


def _patched(anyone: Candidate) -> Plain:
    """By how much a stopgap multiplies, and how that reads: the same for every candidate."""
    (prior,) = weigh([replace(anyone, stopgap=True)], (), {})
    (factor,) = (factor for factor in prior.factors if factor.key == _STOPGAP)
    return [factor.by, factor.reason]


def _if_any(extras: Mapping[str, Plain]) -> dict[str, Plain]:
    return {name: value for name, value in extras.items() if value}


def _unless_one(**factors: float) -> dict[str, Plain]:
    return {name: factor for name, factor in factors.items() if factor != 1.0}


def _touch_rules() -> Plain:
    """What a touch of each kind adds, by freshness, material and cold, and the words that say so."""
    return {
        "how": {
            how.value: {
                "adds": touches.ADDS[how],
                "says": touches.HOW[how],
                "leans": how is TouchKind.REACHED_PAST,
                "renews": how is TouchKind.REPLACED,
            }
            for how in _HOWS
        },
        "materials": {
            material.value: [
                touches.LEANED_ON[material],
                touches.PULLED_OFF[material],
                touches.degrees_that_double(material),
                MATERIAL_LABEL[material],
            ]
            for material in Material
        },
        "checked": touches.CHECKED,
        "half_days": touches.HALF_DAYS,
        "half_km": touches.HALF_KM,
        "unknown": touches.UNKNOWN_FRESHNESS,
        "cold_below": touches.COLD_BELOW_C,
        "cold_at_most": touches.COLD_AT_MOST_C,
        "cold_doubles": touches.degrees_that_double(None),
        "says": ["the same day", "1 day before", "{} days before", "{} km ago", "at {} °C", "checked afterwards"],
    }


def plain_touches(everyone: Sequence[Candidate], touched: Iterable[Touched]) -> list[Sequence[Plain]]:
    """Each as [place of the candidate, how, days, km, °C, checked]: days and km before the fault.

    Raises KeyError for a candidate that is not among `everyone`.
    """
    places = {candidate.id: place for place, candidate in enumerate(everyone)}
    return [
        [
            places[touch.candidate_id],
            touch.how.value,
            None if touch.days_ago is None else round(touch.days_ago, _DAY_DIGITS),
            touch.km_ago,
            touch.temp_c,
            int(touch.checked),
        ]
        for touch in touched
    ]
