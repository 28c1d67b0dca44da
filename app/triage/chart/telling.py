"""A grown tree put into words: its boxes numbered from the top, and answers that end alike taken together."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeAlias

from app.triage.answers import NextStep, RankedSuspect
from app.triage.chart.figure import Again, Branch, Chart, End, Ending, Lead, Place, Question, Work
from app.triage.chart.growth import Node, Way, leading
from app.triage.chart.words import answer_label, short_names, step_name
from app.triage.inputs import Candidate

_Told: TypeAlias = tuple[Way, Place]


class Telling:
    """Tells trees of one car, by its candidates and their short names."""

    def __init__(self, candidates: Sequence[Candidate]) -> None:
        """`candidates` hold the standing suspects too."""
        self._names = short_names(candidates)
        self._by_id = {candidate.id: candidate for candidate in candidates}

    def chart(self, top: Node) -> Chart:
        """The chart of the tree as it has grown so far."""
        numbers: dict[int, int] = {}
        _number(top, numbers)
        place = self._place(top, numbers)
        return Chart(place if isinstance(place, Question) else self._ending(top))

    def _place(self, node: Node, numbers: dict[int, int]) -> Place:
        step = node.step
        if step is not None and node.again is not None:
            return Again(numbers[id(node.again)], self._work(step).name)
        if step is None or not node.ways:
            return self._ending(node)
        told = [(way, self._end_of(way, numbers)) for way in node.ways]
        branches = tuple(_branch(step, group) for group in _together(told))
        return Question(numbers[id(node)], self._work(step), node.reach, branches)

    def _end_of(self, way: Way, numbers: dict[int, int]) -> Place:
        if way.node is not None:
            return self._place(way.node, numbers)
        return Ending(End.OTHERWISE, self._leads(way.suspects), None)

    def _ending(self, node: Node) -> Ending:
        ranking = node.ranking
        why = End.CLEAR if node.clear else End.NOTHING_LEFT if node.step is None else End.PAPER
        checks = (step for step in ranking.next if step.kind == "check" and not step.lacks)
        check = next((self._work(step) for step in checks), None)
        return Ending(why, self._leads([(each, each.probability) for each in ranking.suspects]), check)

    def _leads(self, suspects: Sequence[tuple[RankedSuspect, float]]) -> tuple[Lead, ...]:
        return tuple(Lead(each.id, self._names[each.id], p) for each, p in leading(suspects))

    def _work(self, step: NextStep) -> Work:
        return Work(step_name(step, self._by_id, self._names), step)


def _number(node: Node, numbers: dict[int, int]) -> None:
    if node.ways:
        numbers[id(node)] = len(numbers) + 1
        for way in node.ways:
            if way.node is not None:
                _number(way.node, numbers)


def _together(told: Sequence[_Told]) -> list[list[_Told]]:
    """The ways of a box in groups that lead alike, in their order; the one with the likeliest answer stays last."""
    groups: list[list[_Told]] = []
    for way, place in told:
        alike = next((group for group in groups if _alike(group[0][1], place)), None)
        if alike is None:
            groups.append([(way, place)])
        else:
            alike.append((way, place))
    return sorted(groups, key=lambda group: group[-1][0] is told[-1][0])


def _alike(one: Place, other: Place) -> bool:
    if isinstance(one, Again) and isinstance(other, Again):
        return one.number == other.number
    if not isinstance(one, Ending) or not isinstance(other, Ending) or End.OTHERWISE in (one.why, other.why):
        return False
    return _says(one) == _says(other)


def _says(ending: Ending) -> object:
    check = None if ending.check is None else ending.check.name
    return ending.why, check, [lead.id for lead in ending.leads]


def _branch(step: NextStep, group: Sequence[_Told]) -> Branch:
    outcomes = tuple(outcome for way, _ in group for outcome in way.outcomes)
    probability = sum(way.probability for way, _ in group)
    place = group[0][1]
    if isinstance(place, Ending) and place.why is End.OTHERWISE:
        return Branch(outcomes, "Any other", probability, place)
    if isinstance(place, Ending) and len(group) > 1:
        place = _mixed(place, [(way.probability / probability, there) for way, there in group])
    return Branch(outcomes, answer_label(step, outcomes), probability, place)


def _mixed(first: Ending, parts: Sequence[tuple[float, Place]]) -> Ending:
    """An ending for several answers: what each says, weighed by how likely that answer is among them."""
    endings = [(weight, there) for weight, there in parts if isinstance(there, Ending)]
    leads = (
        replace(lead, probability=sum(weight * there.leads[rank].probability for weight, there in endings))
        for rank, lead in enumerate(first.leads)
    )
    return replace(first, leads=tuple(leads))
