"""The plan of a car: stages, what each item needs first, what can be done now, and the graph of it. Pure functions."""
