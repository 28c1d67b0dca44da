"""A bench that knows physics and not the table: gas flow, springs and controllers of an engine's air path.

It is built from a starter layout's own lines, so every line can be holed, blocked or pulled off, and it answers with
what a gauge, a watch and an ear would tell. Nothing here reads the knowledge table except `judging`, which compares.

Where bench and table disagree the verdict stands in `disagreements.toml`.

What it cannot show, and leaves unanswered or at its healthy outcome: oil in the exhaust, a single valve's flick of the
needle, wiring, and everything that is not air (fuel supply, ignition but for one late case).
"""
