"""When suction flattens a round wall: the ring collapse of a thin tube.

An upper bound, for a long, straight, perfectly round, bare tube. Ovality and bends make it less; short ends held round,
fabric plies and a wire inside make it more, by amounts nobody publishes for hoses.
"""

from math import isfinite


class ImpossibleWall(ValueError):
    """There is no such tube; the message is a plain sentence."""


def mean_radius_mm(bore_mm: float, wall_mm: float) -> float:
    """The radius of the middle of the wall, mm."""
    return (bore_mm + wall_mm) / 2


def collapse_kpa(stiffness_mpa: float, poisson: float, wall_mm: float, radius_mm: float) -> float:
    """The pressure difference that flattens a long thin tube from outside, kPa: ¼ E/(1-ν²) (t/r)³.

    `stiffness_mpa` is Young's modulus, `radius_mm` the mean radius. Roark's Formulas for Stress and Strain, Table 35
    case 19a. An upper bound: see this file's head.

    Raises ImpossibleWall for a figure not above zero, or Poisson's ratio outside 0 to 0.5.
    """
    if not 0 <= poisson <= 0.5:
        raise ImpossibleWall(f"Poisson's ratio lies between 0 and 0.5, and {poisson:g} does not.")
    return free_ring_kpa(stiffness_mpa, wall_mm, radius_mm) / (1 - poisson**2)


def free_ring_kpa(stiffness_mpa: float, wall_mm: float, radius_mm: float) -> float:
    """The same for a ring with no length, whose wall is free to spread: ¼ E (t/r)³, kPa.

    Timoshenko and Gere, Theory of Elastic Stability (q = 3EI/r³). Raises ImpossibleWall for a figure not above zero.
    """
    for figure in (stiffness_mpa, wall_mm, radius_mm):
        if not (isfinite(figure) and figure > 0):
            raise ImpossibleWall(f"Stiffness, wall and radius have to be above zero, and {figure:g} is not.")
    return stiffness_mpa * 1e3 / 4 * float((wall_mm / radius_mm) ** 3)
