"""How a chart grows: box after box, where the way most likely comes and the next step tells most, until it is full."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from heapq import heappop, heappush
from itertools import count
from typing import TypeAlias

from app.triage.answers import NextStep, RankedSuspect, Ranking
from app.triage.checks import check_named
from app.triage.codes import GROUP_OF, NO_CODES
from app.triage.inputs import Candidate, CheckOutcome, CheckResult, Evidence
from app.triage.knowledge.table import OUTCOMES, Knowledge
from app.triage.model import kind_of
from app.triage.signs import CODES

#: One suspect leads clearly when it has this much of the probability, and this many times what the second has.
LEADS_AT = 0.5
LEADS_BY = 3.0
#: An answer less likely than this is not drawn by itself (two or more such answers are drawn as one).
WORTH_A_BRANCH = 0.05
#: Answers always drawn by themselves, however unlikely.
ALWAYS_DRAWN = 2
#: A box is not drawn where the way so seldom comes, or tells so little, that reach times bits stays below this.
WORTH_A_BOX = 0.004
#: Boxes tried that did not fit before the paper counts as full.
TRIES = 12
#: Suspects named at the end of a way: the first, the second if it has as much as this, and the third if it also has
#: this share of what the first has.
NAMED = 3
WORTH_A_NAME = 0.05
NEARLY_THE_FIRST = 0.5

#: What the model says of one car for some evidence: `rank` with all else filled in.
Ranked: TypeAlias = Callable[[Evidence], Ranking]

_CHECKED: tuple[CheckOutcome, ...] = ("fault", "fine")
#: One code of each group stands for all of them: they count alike.
_CODE_OF = {group: code for code, group in reversed(GROUP_OF.items())}


@dataclass(slots=True)
class Way:
    """One answer and where it leads; without a node, the unlikely answers taken together, with what they say."""

    outcomes: tuple[str, ...]
    probability: float
    node: "Node | None"
    suspects: tuple[tuple[RankedSuspect, float], ...] = ()


@dataclass(slots=True, eq=False)
class Node:
    """A place in the tree: what is known there, what the model says, and how likely the way comes here."""

    evidence: Evidence
    ranking: Ranking
    reach: float
    ways: list[Way] = field(default_factory=list)
    again: "Node | None" = None

    @property
    def step(self) -> NextStep | None:
        """What the model would do next with what is at hand; steps that lack a tool stand last with it."""
        return self.ranking.next[0] if self.ranking.next and not self.ranking.next[0].lacks else None

    @property
    def clear(self) -> bool:
        """Whether one suspect leads clearly here."""
        first, *rest = self.ranking.suspects
        second = rest[0].probability if rest else 0.0
        return first.probability >= LEADS_AT and first.probability >= LEADS_BY * second

    @property
    def worth(self) -> float:
        """How much a box here adds to the chart: how likely it is come to, times the bits its answer tells."""
        return self.reach * self.step.gain_bits if self.step else 0.0


def grown(
    know: Knowledge,
    candidates: Sequence[Candidate],
    ranked: Ranked,
    start: Evidence,
    fits: Callable[[Node], bool],
) -> Node:
    """The top of the largest tree that fits; `candidates` hold the standing suspects too.

    Boxes of equal worth are taken in the order they were come upon, so that the same model always grows the same tree.
    """
    chances = _Chances(know, candidates)
    top = Node(start, ranked(start), 1.0)
    order = count()
    waiting = [(-top.worth, next(order), top)]
    boxes: dict[object, Node] = {}
    misses = 0
    while waiting:
        _, _, node = heappop(waiting)
        step = node.step
        if node.clear or step is None:
            continue
        node.again = boxes.get(_sameness(node, step))
        if node.again is not None or misses >= TRIES or node.worth < WORTH_A_BOX:
            continue
        node.ways = _ways(node, step, chances, ranked)
        if node is not top and not fits(top):
            node.ways = []
            misses += 1
            continue
        boxes[_sameness(node, step)] = node
        for way in node.ways:
            if way.node is not None:
                heappush(waiting, (-way.node.worth, next(order), way.node))
    return top


def leading(suspects: Iterable[tuple[RankedSuspect, float]]) -> list[tuple[RankedSuspect, float]]:
    """The one to three suspects worth naming, likeliest first; the first is always named."""
    first, *rest = sorted(suspects, key=lambda each: -each[1])[:NAMED]
    second, third = rest[:1], rest[1:]
    worth = [each for each in second if each[1] >= WORTH_A_NAME]
    worth += [each for each in third if each[1] >= max(WORTH_A_NAME, NEARLY_THE_FIRST * first[1])]
    return [first, *worth]


def _sameness(node: Node, step: NextStep) -> object:
    """Two places are the same to a reader when the step, the leading suspects and what was asked before are."""
    evidence = node.evidence
    leads = tuple(suspect.id for suspect in node.ranking.suspects[:NAMED])
    asked = (*evidence.signs, *((CODES,) if evidence.codes is not None else ()))
    checked = ((check.candidate_id, check.method) for check in evidence.checks)
    return step.kind, step.key, step.candidate_id, leads, frozenset(asked), frozenset(checked)


@dataclass(slots=True)
class _Chances:
    """How likely each suspect gives each answer."""

    know: Knowledge
    everyone: Sequence[Candidate]

    def of(self, step: NextStep) -> tuple[tuple[str, ...], dict[str, tuple[float, ...]]]:
        """The outcomes of a step, and by suspect the probability of each of them."""
        if step.kind == "check":
            checked = next(each for each in self.everyone if each.id == step.candidate_id)
            check = check_named(checked, step.key)
            at_fault, sound = (check.hit, 1 - check.hit), (check.false_alarm, 1 - check.false_alarm)
            return _CHECKED, {each.id: at_fault if each is checked else sound for each in self.everyone}
        rows = self.know.asked[step.key]
        return OUTCOMES[step.key], {each.id: rows[kind_of(each)] for each in self.everyone}


def _ways(node: Node, step: NextStep, chances: _Chances, ranked: Ranked) -> list[Way]:
    """The answers to `step` at a node in the order of the vocabulary, the unlikely ones as one, the likeliest last."""
    suspects = node.ranking.suspects
    outcomes, rows = chances.of(step)
    expected = [sum(each.probability * rows[each.id][place] for each in suspects) for place in range(len(outcomes))]
    by_chance = sorted(range(len(outcomes)), key=lambda place: -expected[place])
    rare = [place for place in by_chance[ALWAYS_DRAWN:] if expected[place] < WORTH_A_BRANCH]
    if len(rare) == 1:
        rare = []
    ways = []
    for place in sorted(set(by_chance) - set(rare), key=lambda place: (place == by_chance[0], place)):
        evidence = answered(node.evidence, step, outcomes[place])
        there = Node(evidence, ranked(evidence), node.reach * expected[place])
        ways.append(Way((outcomes[place],), expected[place], there))
    if rare:
        share = sum(expected[place] for place in rare)
        # Bayes' rule for "one of these": what each suspect expects of them all together.
        then = [(each, each.probability * sum(rows[each.id][place] for place in rare) / share) for each in suspects]
        names = tuple(outcomes[place] for place in sorted(rare))
        ways.insert(len(ways) - 1, Way(names, share, None, tuple(then)))
    return ways


def answered(evidence: Evidence, step: NextStep, outcome: str) -> Evidence:
    """The evidence with this answer added to it."""
    if step.kind == "check":
        assert step.candidate_id is not None  # noqa: S101  # a check is always of somebody
        result: CheckOutcome = "fault" if outcome == "fault" else "fine"
        return replace(evidence, checks=(*evidence.checks, CheckResult(step.candidate_id, step.key, result)))
    if step.key == CODES:
        return replace(evidence, codes=() if outcome == NO_CODES else (_CODE_OF[outcome],))
    return replace(evidence, signs={**evidence.signs, step.key: outcome})
