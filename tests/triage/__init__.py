"""Triage held to physics, trade practice, published examples and a general Bayesian-network library."""
