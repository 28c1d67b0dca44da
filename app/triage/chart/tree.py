"""The largest chart that fits, for a car or for a layout: the model's own policy, and no second set of rules.

Each box is the best next step for the answers that lead to it, each branch an answer with the probability the model
expects it with, each end the suspects the model then names. What is decided here is only where to stop: where one
suspect leads clearly, where nothing is left worth doing, and where the paper ends.
"""

from collections.abc import Callable, Sequence

from app.triage.chart.figure import Chart
from app.triage.chart.growth import Node, Ranked, grown
from app.triage.chart.telling import Telling
from app.triage.facts import Facts
from app.triage.inputs import Candidate, Evidence
from app.triage.knowledge.overrules import Overrule
from app.triage.knowledge.table import knowledge
from app.triage.model import with_standing


def chart_of(  # noqa: PLR0913 - as much as a ranking can rest on
    facts: Facts,
    candidates: Sequence[Candidate],
    ranked: Ranked,
    fits: Callable[[Chart], bool],
    start: Evidence | None = None,
    *,
    overrules: Sequence[Overrule] = (),
) -> Chart:
    """The largest chart that still fits, the likeliest and most telling boxes first.

    `ranked` is what the model says of these candidates for any evidence (`rank` with all else filled in), `start`
    what is known already, `overrules` what the fitter knows better. The same model gives the same chart. The top box is
    there even if nothing fits.
    """
    everyone = with_standing(facts, candidates)
    telling = Telling(everyone)

    def good(node: Node) -> bool:
        chart = telling.chart(node)
        # A box all of whose answers lead alike asks for nothing.
        return all(len(box.branches) > 1 for box in chart.questions) and fits(chart)

    return telling.chart(grown(knowledge(facts, tuple(overrules)), everyone, ranked, start or Evidence(), good))
