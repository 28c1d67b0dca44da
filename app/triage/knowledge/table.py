"""The whole table for one car's facts, as plain numbers, made once and kept."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import log, log2

from app.airpath.words import Role, Suspect
from app.triage.codes import GROUPS
from app.triage.facts import Facts
from app.triage.knowledge import (
    boost_level,
    boost_stability,
    brake_pedal,
    exhaust_smoke,
    first_start_vacuum,
    fuel_trim_idle,
    fuel_trim_load,
    hiss,
    idle_needle,
    idle_quality,
    idle_vacuum,
    leak_size,
    lift_off_sound,
    trouble_codes,
    vacuum_recovery,
)
from app.triage.knowledge.grades import CHARGE_SMALL, UNRELATED, Row, Rows
from app.triage.knowledge.overrules import Overrule, overruled
from app.triage.signs import CODES, SIGNS

_FILES = {
    "first_start_vacuum": first_start_vacuum.rows,
    "idle_vacuum": idle_vacuum.rows,
    "idle_needle": idle_needle.rows,
    "vacuum_recovery": vacuum_recovery.rows,
    "lift_off_sound": lift_off_sound.rows,
    "boost_level": boost_level.rows,
    "boost_stability": boost_stability.rows,
    "idle_quality": idle_quality.rows,
    "fuel_trim_idle": fuel_trim_idle.rows,
    "fuel_trim_load": fuel_trim_load.rows,
    "hiss": hiss.rows,
    "brake_pedal": brake_pedal.rows,
    "exhaust_smoke": exhaust_smoke.rows,
    "leak_size": leak_size.rows,
    CODES: trouble_codes.rows,
}

#: Everything a row can be written for: the roles, the suspects and the thin charge line.
KINDS: tuple[str, ...] = (*(role.value for role in Role), CHARGE_SMALL, *(suspect.value for suspect in Suspect))

#: Every sign with its outcomes, `codes` included.
OUTCOMES: dict[str, tuple[str, ...]] = {sign.key: sign.outcome_keys for sign in SIGNS.values()} | {CODES: GROUPS}


@dataclass(frozen=True, slots=True)
class Knowledge:
    """The table of one set of facts.

    `rows[sign][kind]` is the row as written, `chance[sign][kind][i]` its probability for outcome i of
    OUTCOMES[sign], `logs` the same in natural logarithms, `speaks` the signs in which any suspect differs.
    `asked` is what a question expects to hear, with its entropy in bits. It differs from `chance` for `codes` alone:
    there each group is an observation of its own, set or not, while the question expects one of them or none.
    `says[sign][kind][i]` is how a reason goes on after the outcome.
    """

    rows: Mapping[str, Mapping[str, Row]]
    chance: Mapping[str, Mapping[str, tuple[float, ...]]]
    logs: Mapping[str, Mapping[str, tuple[float, ...]]]
    asked: Mapping[str, Mapping[str, tuple[float, ...]]]
    entropy: Mapping[str, Mapping[str, float]]
    speaks: frozenset[str]
    says: Mapping[str, Mapping[str, tuple[str, ...]]]


def _row_of(rows: Rows, kind: str) -> Row:
    if kind in rows:
        return rows[kind]
    if kind == CHARGE_SMALL and Role.CHARGE in rows:
        return rows[Role.CHARGE]
    return rows[UNRELATED]


@lru_cache(maxsize=32)
def knowledge(facts: Facts, overrules: tuple[Overrule, ...] = ()) -> Knowledge:
    """The table for a car with these facts, with what its fitter knows better.

    Raises KeyError for an overrule of an unknown sign or kind, ValueError for an outcome that is not the sign's.
    """
    _refuse_unknown(overrules)
    rows: dict[str, dict[str, Row]] = {}
    chance: dict[str, dict[str, tuple[float, ...]]] = {}
    asked: dict[str, dict[str, tuple[float, ...]]] = {}
    speaks: set[str] = set()
    for sign, file in _FILES.items():
        written = file(facts)
        own = [overrule for overrule in overrules if overrule.sign == sign]
        if len(written) > 1 or own:
            speaks.add(sign)
        rows[sign] = overruled({kind: _row_of(written, kind) for kind in KINDS}, own)
        outcomes = OUTCOMES[sign]
        asked[sign] = {kind: each.chances(outcomes) for kind, each in rows[sign].items()}
        chance[sign] = asked[sign]
        if sign == CODES:
            chance[sign] = {kind: each.as_graded(outcomes) for kind, each in rows[sign].items()}
    return Knowledge(rows, chance, _logs(chance), asked, _entropy(asked), frozenset(speaks), _says(rows))


def _refuse_unknown(overrules: tuple[Overrule, ...]) -> None:
    for overrule in overrules:
        if overrule.sign not in OUTCOMES or overrule.kind not in KINDS:
            raise KeyError(f"{overrule.kind}, {overrule.sign}")
        if overrule.outcome not in OUTCOMES[overrule.sign]:
            raise ValueError(f"{overrule.outcome} is not an outcome of {overrule.sign}")


def _logs(chance: Mapping[str, Mapping[str, tuple[float, ...]]]) -> dict[str, dict[str, tuple[float, ...]]]:
    return {sign: {kind: tuple(log(p) for p in each) for kind, each in rows.items()} for sign, rows in chance.items()}


def _entropy(asked: Mapping[str, Mapping[str, tuple[float, ...]]]) -> dict[str, dict[str, float]]:
    return {
        sign: {kind: -sum(p * log2(p) for p in each) for kind, each in rows.items()} for sign, rows in asked.items()
    }


def _says(rows: Mapping[str, Mapping[str, Row]]) -> dict[str, dict[str, tuple[str, ...]]]:
    return {
        sign: {kind: tuple(_said(row, outcome) for outcome in OUTCOMES[sign]) for kind, row in of_sign.items()}
        for sign, of_sign in rows.items()
    }


def _said(row: Row, outcome: str) -> str:
    return f"{row.grade(outcome).words} so when this is at fault" + (f"; {row.reason}" if row.reason else "")
