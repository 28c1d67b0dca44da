"""Bayes' rule over rival explanations, in logarithms so that many signs cannot underflow."""

from collections.abc import Sequence
from math import exp


def normalised(log_weights: Sequence[float]) -> list[float]:
    """Probabilities from natural logarithms of prior x likelihood, one a rival, in their order; they sum to 1."""
    highest = max(log_weights)
    weights = [exp(each - highest) for each in log_weights]
    total = sum(weights)
    return [weight / total for weight in weights]
