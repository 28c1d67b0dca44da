"""What to do next: the question or check that tells most for a minute's work, or the order that finds it soonest."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import log2
from operator import itemgetter

from app.airpath.words import Suspect
from app.triage.answers import NextStep
from app.triage.at_hand import AtHand, state_for
from app.triage.bundles import Work, already_paid, most_a_minute
from app.triage.checks import DirectCheck, caution_for, checks_for
from app.triage.facts import Facts
from app.triage.inputs import Candidate, CheckResult, Evidence
from app.triage.knowledge.table import Knowledge
from app.triage.minutes_left import minutes_left
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


@dataclass(frozen=True, slots=True)
class WhatNext:
    """The steps, best first, and the expected minutes to the culprit by checks alone."""

    steps: tuple[NextStep, ...]
    minutes_left: float


@dataclass(frozen=True, slots=True)
class _Offer:
    """A step with what placing it needs; a question has no job."""

    step: NextStep
    work: Work
    job: Job | None = None


def what_next(
    facts: Facts, know: Knowledge, weighed: Sequence[Weighed], evidence: Evidence, at_hand: AtHand
) -> WhatNext:
    """Signs not yet seen and direct checks not yet made, most information per minute first.

    When no question is left that tells anything, the checks stand in the order of least expected minutes. What lacks a
    tool stands last.
    """
    mass: dict[str, float] = {}
    for _, kind, p in weighed:
        mass[kind] = mass.get(kind, 0.0) + p
    asks = _asks(facts, know, mass, evidence, at_hand)
    leading = sorted(weighed, key=lambda each: -each[2])[:LEADING]
    checks = _checks(facts, leading, evidence.checks, at_hand)
    possible = [offer for offer in checks if not offer.step.lacks]
    jobs = [offer.job for offer in possible if offer.job is not None]
    among = {offer.step.candidate_id for offer in possible}
    covered = sum(p for candidate, _, p in leading if candidate.id in among)
    asked = [offer for offer in asks if not offer.step.lacks]
    if asked:
        offers = [*asked, *possible]
        order = most_a_minute([offer.work for offer in offers])
    else:
        offers = possible
        order, _ = best_order(jobs, last_known=covered >= ALL_THE_BLAME, engine=at_hand.engine)
    lacking = sorted((offer for offer in (*asks, *checks) if offer.step.lacks), key=_rate, reverse=True)
    listed = [*(offers[index] for index in order), *lacking]
    unchecked = max((p for candidate, _, p in leading if candidate.id not in among and _blamed(candidate)), default=0.0)
    return WhatNext(_shared_minutes(listed), minutes_left(jobs, unchecked, at_hand.engine))


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


def _asks(
    facts: Facts, know: Knowledge, mass: Mapping[str, float], evidence: Evidence, at_hand: AtHand
) -> list[_Offer]:
    offers = []
    for sign in SIGNS.values():
        if sign.key in evidence.signs or sign.key not in know.speaks or not sign.asked_on(facts):
            continue
        gain = sign_gain(know, mass, sign.key)
        if gain >= WORTH_ASKING_BITS:
            step = NextStep("ask", sign.key, sign.question, sign.minutes, gain, sign.needs, sign.caution)
            offers.append(_ask(step, at_hand))
    if evidence.codes is None:
        gain = sign_gain(know, mass, CODES)
        if gain >= WORTH_ASKING_BITS:
            step = NextStep("ask", CODES, CODES_QUESTION, CODES_MINUTES, gain, (Need.CODE_READER,), "")
            offers.append(_ask(step, at_hand))
    return offers


def _checks(facts: Facts, leading: Sequence[Weighed], made: Iterable[CheckResult], at_hand: AtHand) -> list[_Offer]:
    """The best check not yet made of each leading suspect, and a better one too if only a tool for it is lacking."""
    done = {(result.candidate_id, result.method) for result in made}
    found = []
    for candidate, _, p in leading:
        if p < WORTH_CHECKING:
            continue
        rated = [
            # Its place has to be opened for any of them; getting the engine ready is of one and not of another.
            (check_gain(p, check.hit, check.false_alarm) / (check.minutes + at_hand.getting_ready(check.needs)), check)
            for check in checks_for(candidate, throttle_vacuum=facts.throttle_vacuum)
            if (candidate.id, check.method) not in done
        ]
        owned = [each for each in rated if not at_hand.lacks(each[1].needs)]
        chosen = [max(those, key=itemgetter(0))[1] for those in (owned, rated) if those]
        found += [_check(candidate, check, p, at_hand) for check in dict.fromkeys(chosen)]
    return found


def _check(candidate: Candidate, check: DirectCheck, p: float, at_hand: AtHand) -> _Offer:
    ready = at_hand.getting_ready(check.needs)
    place, opening, state = candidate.place, candidate.access_minutes, state_for(check.needs)
    gain = check_gain(p, check.hit, check.false_alarm)
    step = NextStep(
        "check",
        check.method,
        f"{check.label}: {candidate.label}",
        check.minutes + opening + ready,
        gain,
        check.needs,
        caution_for(candidate, check.method),
        candidate.id,
        at_hand.lacks(check.needs),
        ready,
    )
    return _Offer(
        step,
        Work(gain, check.minutes, place, opening, state, ready),
        Job(p * check.hit, check.minutes, place, opening, state, p * (1 - check.hit)),
    )


def _ask(step: NextStep, at_hand: AtHand) -> _Offer:
    ready = at_hand.getting_ready(step.needs)
    whole = replace(step, minutes=step.minutes + ready, lacks=at_hand.lacks(step.needs), getting_ready=ready)
    return _Offer(whole, Work(step.gain_bits, step.minutes, state=state_for(step.needs), ready=ready))


def _rate(offer: _Offer) -> float:
    return offer.step.gain_bits / offer.step.minutes


def _blamed(candidate: Candidate) -> bool:
    # Of "something else" nobody knows what to repair; a suspect of one's own under that role is a thing.
    return candidate.role is not Suspect.SOMETHING_ELSE or candidate.behaves_like is not None


def _shared_minutes(listed: Sequence[_Offer]) -> tuple[NextStep, ...]:
    paid = already_paid(offer.work for offer in listed)
    return tuple(
        replace(offer.step, shared=minutes) if minutes else offer.step
        for offer, minutes in zip(listed, paid, strict=True)
    )
