"""Exact inference by a general Bayesian-network library, for one fault and the signs that hang on it."""

import importlib
import warnings
from collections.abc import Mapping, Sequence

with warnings.catch_warnings():
    # Its compiled half warns as it loads, and warnings turned to errors take the interpreter down with them.
    warnings.simplefilter("ignore")
    gum = importlib.import_module("pyagrum")


def by_library(
    fault: Sequence[float], tables: Mapping[str, Sequence[Sequence[float]]], seen: Mapping[str, int]
) -> list[float]:
    """P(fault | seen): `fault` weights, a row of outcome probabilities a fault in each of `tables`, outcomes seen."""
    network = gum.BayesNet()
    network.add(gum.LabelizedVariable("fault", "", len(fault)))
    total = sum(fault)
    network.cpt("fault").fillWith([each / total for each in fault])
    for sign, rows in tables.items():
        network.add(gum.LabelizedVariable(sign, "", len(rows[0])))
        network.addArc("fault", sign)
        network.cpt(sign).fillWith([p for row in rows for p in row])
    inference = gum.LazyPropagation(network)
    inference.setEvidence(dict(seen))
    inference.makeInference()
    return [float(p) for p in inference.posterior("fault").tolist()]


def second_by_library(
    weights: Sequence[float],
    repaired: int,
    before: Mapping[str, tuple[Sequence[Sequence[float]], int]],
    since: Mapping[str, tuple[Sequence[Sequence[float]], int]],
) -> list[float]:
    """P(second fault | seen before and since the repair of the first), every step of the story a node of its own.

    `weights` are those of the second fault, `before` and `since` each thing seen with a row of outcome probabilities a
    fault, healthy first, and the place of the outcome. Before the repair each fault showed or not by itself, and of two
    that showed differently either was noticed; the repaired one at fault again has no second beside it.
    """
    network = gum.BayesNet()
    network.add(gum.LabelizedVariable("second", "", len(weights)))
    network.cpt("second").fillWith([each / sum(weights) for each in weights])
    for name, (rows, _) in since.items():
        network.add(gum.LabelizedVariable(name, "", len(rows[0])))
        network.addArc("second", name)
        network.cpt(name).fillWith([p for row in rows for p in row])
    for name, (rows, _) in before.items():
        size = len(rows[0])
        for node in (f"{name} of the first", f"{name} of the second", f"{name} before"):
            network.add(gum.LabelizedVariable(node, "", size))
        network.addArc("second", f"{name} of the second")
        network.addArc(f"{name} of the first", f"{name} before")
        network.addArc(f"{name} of the second", f"{name} before")
        network.cpt(f"{name} of the first").fillWith(list(rows[repaired]))
        none = [1.0] + [0.0] * (size - 1)
        shown = [p for place, row in enumerate(rows) for p in (none if place == repaired else row)]
        network.cpt(f"{name} of the second").fillWith(shown)
        for first in range(size):
            for second in range(size):
                chances = [0.0] * size
                noticed = {first, second} - {0} or {0}
                for outcome in noticed:
                    chances[outcome] = 1 / len(noticed)
                network.cpt(f"{name} before")[{f"{name} of the first": first, f"{name} of the second": second}] = (
                    chances
                )
    inference = gum.LazyPropagation(network)
    told = {name: outcome for name, (_, outcome) in since.items()}
    inference.setEvidence(told | {f"{name} before": outcome for name, (_, outcome) in before.items()})
    inference.makeInference()
    return [float(p) for p in inference.posterior("second").tolist()]
