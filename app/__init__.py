"""Witnessmark: the record of a car, and the way from a few readings to the hose at fault."""

__version__ = "0.1.0"
