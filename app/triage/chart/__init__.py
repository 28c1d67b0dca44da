"""The chart: the tree of questions the model would ask, made by asking it, and drawn to go on one sheet of paper."""
