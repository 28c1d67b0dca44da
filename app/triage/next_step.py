"""What to do next: the question or check that tells most for a minute's work, or the order that finds it soonest."""

from collections.abc import Mapping, Sequence
from math import log2

from app.triage.answers import NextStep
from app.triage.checks import DirectCheck, caution_for, checks_for
from app.triage.facts import Facts
from app.triage.inputs import Candidate, Evidence
from app.triage.knowledge.table import Knowledge
from app.triage.order import Job, best_order
from app.triage.signs import CODES, SIGNS, Need

WORTH_ASKING_BITS = 0.02
LEADING = 12  # suspects a check is worked out for; the rest share what is left of the probability
ALL_THE_BLAME = 0.97
WORTH_CHECKING = 0.005  # probability below which nobody reaches for a tool

#: What reading the trouble codes asks and takes.
CODES_QUESTION = "Read the trouble codes: which are stored?"
CODES_MINUTES = 4.0


#: A candidate, the kind of row it reads, and its probability now.
Weighed = tuple[Candidate, str, float]


def next_steps(
    facts: Facts,
    know: Knowledge,
    weighed: Sequence[Weighed],
    evidence: Evidence,
) -> tuple[NextStep, ...]:
    """Signs not yet seen and direct checks not yet made, most information per minute first.

    When no question is left that tells anything, the checks stand in the order of least expected minutes.
    """
    mass: dict[str, float] = {}
    for _, kind, p in weighed:
        mass[kind] = mass.get(kind, 0.0) + p
    asks = _asks(facts, know, mass, evidence)
    checks = _checks(facts, weighed, evidence)
    if not asks:
        return tuple(step for step, _ in _soonest_found(checks, weighed))
    steps = [*asks, *(step for step, _ in checks)]
    return tuple(sorted(steps, key=lambda step: -step.gain_bits / step.minutes))


def sign_gain(know: Knowledge, mass: Mapping[str, float], sign: str) -> float:
    """Expected information about the suspect from observing a sign, bits: H(outcome) - sum of p(kind) H(row)."""
    rows = know.asked[sign]
    expected = [0.0] * len(next(iter(rows.values())))
    within = 0.0
    for kind, share in mass.items():
        within += share * know.entropy[sign][kind]
        for index, p in enumerate(rows[kind]):
            expected[index] += share * p
    return max(-sum(p * log2(p) for p in expected) - within, 0.0)


def check_gain(p: float, hit: float, false_alarm: float) -> float:
    """Expected information from a check of a suspect of probability p, bits."""
    shows = p * hit + (1 - p) * false_alarm
    return max(_binary(shows) - p * _binary(hit) - (1 - p) * _binary(false_alarm), 0.0)


def _binary(p: float) -> float:
    if p <= 0.0 or p >= 1.0:
        return 0.0
    return -p * log2(p) - (1 - p) * log2(1 - p)


def _asks(facts: Facts, know: Knowledge, mass: Mapping[str, float], evidence: Evidence) -> list[NextStep]:
    steps = []
    for sign in SIGNS.values():
        if sign.key in evidence.signs or sign.key not in know.speaks or not sign.asked_on(facts):
            continue
        gain = sign_gain(know, mass, sign.key)
        if gain >= WORTH_ASKING_BITS:
            steps.append(NextStep("ask", sign.key, sign.question, sign.minutes, gain, sign.needs, sign.caution))
    if evidence.codes is None:
        gain = sign_gain(know, mass, CODES)
        if gain >= WORTH_ASKING_BITS:
            steps.append(NextStep("ask", CODES, CODES_QUESTION, CODES_MINUTES, gain, (Need.CODE_READER,), ""))
    return steps


def _checks(facts: Facts, weighed: Sequence[Weighed], evidence: Evidence) -> list[tuple[NextStep, Job]]:
    """The best check not yet made of each leading suspect, with what ordering them needs."""
    made = {(result.candidate_id, result.method) for result in evidence.checks}
    leading = sorted(weighed, key=lambda each: -each[2])[:LEADING]
    found = []
    for candidate, _, p in leading:
        open_checks = [
            check
            for check in checks_for(candidate, throttle_vacuum=facts.throttle_vacuum)
            if (candidate.id, check.method) not in made
        ]
        if p < WORTH_CHECKING or not open_checks:
            continue
        best = max(open_checks, key=lambda check: check_gain(p, check.hit, check.false_alarm) / check.minutes)
        found.append(
            (_step(candidate, best, p), Job(p * best.hit, best.minutes, candidate.place, candidate.access_minutes))
        )
    return found


def _step(candidate: Candidate, check: DirectCheck, p: float) -> NextStep:
    return NextStep(
        "check",
        check.method,
        f"{check.label}: {candidate.label}",
        check.minutes + candidate.access_minutes,
        check_gain(p, check.hit, check.false_alarm),
        check.needs,
        caution_for(candidate, check.method),
        candidate.id,
    )


def _soonest_found(checks: list[tuple[NextStep, Job]], weighed: Sequence[Weighed]) -> list[tuple[NextStep, Job]]:
    """The order of least expected minutes; with all the blame among those checked, the last is known unchecked."""
    among = {step.candidate_id for step, _ in checks}
    covered = sum(p for candidate, _, p in weighed if candidate.id in among)
    order, _ = best_order([job for _, job in checks], last_known=covered >= ALL_THE_BLAME)
    return [checks[index] for index in order]
