"""Torque guidance for worm-drive clamps, by the width of their band.

From two published service tables: the hose-clamp page of the 3406E engine workshop manual (catengine.info) for bands of
7.5, 12 and 14 mm, and the D80S-7 lift truck service manual, p. 190 (easymanua.ls), for 8, 13.5 and 16 mm. The tables
disagree on narrow bands, so these are guidance: what the maker of the clamp says comes first.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TorqueGuide:
    """Torque in N·m, with its tolerance either way, on a new hose and on one that was clamped before."""

    new_nm: float
    new_tolerance_nm: float
    reused_nm: float
    reused_tolerance_nm: float


WORM_DRIVE: dict[float, TorqueGuide] = {
    7.5: TorqueGuide(1.4, 0.3, 0.8, 0.3),
    8.0: TorqueGuide(0.9, 0.2, 0.7, 0.2),
    12.0: TorqueGuide(4.5, 0.7, 3.0, 0.5),
    13.5: TorqueGuide(4.5, 0.5, 3.0, 0.5),
    14.0: TorqueGuide(7.5, 1.0, 4.5, 0.7),
    16.0: TorqueGuide(7.5, 0.5, 4.5, 0.5),
}
