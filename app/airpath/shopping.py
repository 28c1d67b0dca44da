"""What to buy for a few lines: how much hose of which bore, and which clamps."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from app.airpath.words import Hold, Material

#: How much more than the lines' own length is bought: what square cuts and a second try take. Our own, no source.
ALLOWANCE_PERCENT = 10.0
#: What cannot be seen to be a clamp.
NO_CLAMP = frozenset((Hold.PUSH_ON, Hold.QUICK_COUPLING, Hold.THREADED_UNION, Hold.FLANGE))
#: The wall of a hose nobody measured, by its bore: common practice, no source. Bore up to, wall, mm.
_USUAL_WALL = ((8.0, 2.5), (25.0, 3.5), (float("inf"), 4.5))
_STEP_MM = 10


@dataclass(frozen=True, slots=True)
class Line:
    """One line to be bought for. `holds`: what holds its two ends, None where nobody wrote it down."""

    name: str
    material: Material | None
    bore_mm: float | None
    length_mm: float | None
    wall_mm: float | None
    holds: tuple[Hold | None, ...]


@dataclass(frozen=True, slots=True)
class Hose:
    """All hose of one material and bore. `buy_mm` is `net_mm` and the allowance, up to the next full centimetre.

    Lines without a length are counted in `pieces` and named in `unmeasured`, and are in neither length.
    """

    material: Material | None
    bore_mm: float | None
    pieces: int
    net_mm: float
    buy_mm: float
    unmeasured: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Clamps:
    """All ends of one kind and size. `outside_mm` is what the clamp goes round; None where the bore is not known.

    `assumed`: the wall behind it is a usual one, not a measured one. `hold` is None where nobody wrote down what holds.
    """

    hold: Hold | None
    outside_mm: float | None
    assumed: bool
    count: int

    @property
    def to_buy(self) -> bool:
        """Whether it is a clamp at all."""
        return self.hold not in NO_CLAMP


def hoses(lines: Iterable[Line], allowance_percent: float = ALLOWANCE_PERCENT) -> list[Hose]:
    """How much of each hose, the widest first; `allowance_percent` of its length is added to each piece."""
    alike: dict[tuple[Material | None, float | None], list[Line]] = defaultdict(list)
    for line in lines:
        alike[line.material, line.bore_mm].append(line)
    found = [_hose(material, bore, group, allowance_percent) for (material, bore), group in alike.items()]
    return sorted(found, key=lambda hose: (-(hose.bore_mm or 0), str(hose.material or "")))


def clamps(lines: Iterable[Line]) -> list[Clamps]:
    """How many of each, clamps before what is none, the largest first."""
    count: dict[tuple[Hold | None, float | None, bool], int] = defaultdict(int)
    for line in lines:
        outside, assumed = outside_mm(line.bore_mm, line.wall_mm)
        for hold in line.holds:
            # What is no clamp has no size of its own.
            count[(hold, None, False) if hold in NO_CLAMP else (hold, outside, assumed)] += 1
    found = [Clamps(hold, outside, assumed, n) for (hold, outside, assumed), n in count.items()]
    return sorted(found, key=lambda one: (not one.to_buy, -(one.outside_mm or 0), str(one.hold or "~"), one.assumed))


def outside_mm(bore_mm: float | None, wall_mm: float | None) -> tuple[float | None, bool]:
    """What a clamp on a hose goes round, mm, and whether its wall is only assumed: bore and twice the wall."""
    if bore_mm is None:
        return None, False
    wall = wall_mm or next(wall for up_to, wall in _USUAL_WALL if bore_mm <= up_to)
    return round(bore_mm + 2 * wall, 1), wall_mm is None


def _hose(material: Material | None, bore: float | None, group: Sequence[Line], allowance_percent: float) -> Hose:
    lengths = [line.length_mm for line in group if line.length_mm is not None]
    net = sum(lengths)
    # Rounded first: 300 mm and a tenth is 330 mm, not a hair more and so 340.
    buy = ceil(round(net * (1 + allowance_percent / 100) / _STEP_MM, 6)) * _STEP_MM
    unmeasured = tuple(line.name for line in group if line.length_mm is None)
    return Hose(material, bore, len(group), net, float(buy), unmeasured)
