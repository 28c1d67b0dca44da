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
