"""What can be wrong: a hole, a hose off, a blockage or a part that sticks, each with the candidate that is to blame."""

from dataclasses import dataclass, field

from app.airpath.words import Role, Suspect


@dataclass(frozen=True, slots=True)
class Hole:
    """A way to the open air at a volume: m2 with its discharge coefficient and a bore to be reached through.

    `breathes` as a split does; `inward` where a check valve lets air in and not out.
    """

    node: str
    cda: float
    breathes: bool = False
    inward: bool = False


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of one candidate.

    `loose` names ends of ways ("feed.a") that now breathe open air, `shut` scales ways by name, `stuck` sets the
    plant's own switches (`tests.bench.plant.Switches`).
    """

    candidate: str
    role: Role | Suspect
    variant: str
    holes: tuple[Hole, ...] = ()
    loose: tuple[str, ...] = ()
    shut: dict[str, float] = field(default_factory=dict)
    stuck: dict[str, float] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The candidate and what is wrong with it, one word each."""
        return f"{self.candidate}:{self.variant}"


SOUND = Fault("nothing", Suspect.SOMETHING_ELSE, "sound")
