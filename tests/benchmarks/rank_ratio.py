"""How fast the program ranks, beside a general Bayesian-network library on the same network in the same run.

    python -m tests.benchmarks.rank_ratio [--suspects 60] [--rounds 200]

Ours is a full re-rank with reasons and the next step; the library's is the posterior alone, its network already made.
"""

import argparse
import statistics
import time
from collections.abc import Callable, Sequence
from functools import partial
from itertools import islice

from app.airpath.words import Layout, TouchKind
from app.triage.inputs import Evidence, Touched
from app.triage.knowledge.table import OUTCOMES, knowledge
from app.triage.model import kind_of, rank, with_standing
from app.triage.priors import weigh
from app.triage.signs import SIGNS
from tests.benchmarks.rank_speed import SAID, crowd
from tests.triage.conftest import car
from tests.triage.library import gum


def measured(many: int, rounds: int) -> dict[str, tuple[float, float | None]]:
    """Median milliseconds, ours and the library's, by how much was seen; with all signs, ours alone."""
    facts, on_the_car = car(Layout.STORED_VACUUM)
    candidates = crowd(on_the_car, many - len(with_standing(facts, ())))
    touched = [Touched(one.id, TouchKind.REACHED_PAST, 2.0, 80.0, 5.0) for one in candidates[::9]]
    know = knowledge(facts)
    everyone = with_standing(facts, candidates)
    weights = [prior.weight for prior in weigh(everyone, touched, {})]
    network = gum.BayesNet()
    network.add(gum.LabelizedVariable("fault", "", len(weights)))
    network.cpt("fault").fillWith([each / sum(weights) for each in weights])
    for sign in SAID:
        network.add(gum.LabelizedVariable(sign, "", len(OUTCOMES[sign])))
        network.addArc("fault", sign)
        network.cpt(sign).fillWith([p for each in everyone for p in know.chance[sign][kind_of(each)]])
    inference = gum.LazyPropagation(network)

    def by_library(signs: dict[str, str]) -> None:
        inference.setEvidence({sign: OUTCOMES[sign].index(outcome) for sign, outcome in signs.items()})
        inference.makeInference()
        inference.posterior("fault").tolist()

    healthy = {sign.key: sign.healthy for sign in SIGNS.values()}
    cases = {f"{n} signs": dict(islice(SAID.items(), n)) for n in (0, 3, 6)}
    found: dict[str, tuple[float, float | None]] = {
        name: (
            _median(partial(rank, facts, candidates, touched, Evidence(signs)), rounds),
            _median(partial(by_library, signs), rounds),
        )
        for name, signs in cases.items()
    }
    last = Evidence(healthy | SAID, ())
    return found | {"all signs": (_median(partial(rank, facts, candidates, touched, last), rounds), None)}


def _median(of: Callable[[], object], rounds: int) -> float:
    of()
    taken = []
    for _ in range(rounds):
        begun = time.perf_counter()
        of()
        taken.append(time.perf_counter() - begun)
    return 1000 * statistics.median(taken)


def main(arguments: Sequence[str] | None = None) -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--suspects", type=int, default=60)
    parser.add_argument("--rounds", type=int, default=200)
    options = parser.parse_args(arguments)
    print(f"{options.suspects} suspects; ms a re-rank, median of {options.rounds}")
    for what, (ours, library) in measured(options.suspects, options.rounds).items():
        beside = "" if library is None else f"   library {library:6.2f}   ratio {ours / library:5.2f}"
        print(f"{what:12} ours, with reasons and the next step {ours:6.2f}{beside}")


if __name__ == "__main__":
    main()
