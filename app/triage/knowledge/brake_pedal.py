"""The brake pedal: hard means no vacuum in the servo."""

from app.airpath.words import Role, Suspect
from app.triage.facts import Facts
from app.triage.knowledge.grades import (
    ALMOST_ALWAYS,
    ALMOST_NEVER,
    OFTEN,
    RARELY,
    SOMETIMES,
    UNRELATED,
    Rows,
    row,
)


def rows(facts: Facts) -> Rows:
    """The rows of `brake_pedal`."""
    diesel = facts.fuel == "diesel"
    return {
        UNRELATED: row("the servo keeps its own vacuum", normal=ALMOST_ALWAYS, hard=ALMOST_NEVER),
        Role.BRAKE_SERVO: row("nothing else takes the servo's vacuum away", normal=SOMETIMES, hard=ALMOST_ALWAYS),
        Suspect.MANIFOLD_GASKET: row(
            "only a very large leak starves the servo", normal=ALMOST_ALWAYS, hard=ALMOST_NEVER
        ),
        Role.MANIFOLD_SMALL: row("too small a leak to starve the servo", normal=ALMOST_ALWAYS, hard=ALMOST_NEVER),
        Role.VACUUM_STORE: row(
            "the servo hangs on the same pump" if diesel else "the servo has a check valve of its own",
            normal=OFTEN if diesel else ALMOST_ALWAYS,
            hard=SOMETIMES if diesel else ALMOST_NEVER,
        ),
        Suspect.SOMETHING_ELSE: row(
            "the vacuum pump or the servo itself" if diesel else "the servo itself",
            normal=OFTEN if diesel else ALMOST_ALWAYS,
            hard=SOMETIMES if diesel else RARELY,
        ),
    }
