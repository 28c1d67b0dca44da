"""Torque guidance for worm-drive clamps, by the width of their band.

From two published service tables: the hose-clamp page of an engine maker's workshop manual (read at catengine.info) for
bands of 7.5, 12 and 14 mm, and the service manual of an equipment maker, p. 190 (read at easymanua.ls), for 8, 13.5 and
16 mm. The tables disagree on narrow bands, so these are guidance: what the maker of the clamp says comes first. SAE
J1508 gives test torques, which are no figures to tighten to.
"""

from dataclasses import dataclass
from math import isfinite
from typing import Literal

#: How far in mm a band may be from a table's own to be held to its figures. (Our own judgement, no source.)
NEAR_MM = 1.0

HoseState = Literal["new", "reused"]


class ImpossibleClamp(ValueError):
    """A band no clamp can have; the message is a plain sentence."""


@dataclass(frozen=True, slots=True)
class TorqueGuide:
    """Torque in N·m, with its tolerance either way, on a new hose and on one that was clamped before."""

    new_nm: float
    new_tolerance_nm: float
    reused_nm: float
    reused_tolerance_nm: float
    source: str


@dataclass(frozen=True, slots=True)
class ClampFigure:
    """One table's figure for a band: the torque in N·m, how far either side of it, and whose table it is."""

    band_mm: float
    torque_nm: float
    tolerance_nm: float
    source: str


ENGINE_MAKER = "an engine maker's workshop manual"
EQUIPMENT_MAKER = "an equipment maker's service manual"

WORM_DRIVE: dict[float, TorqueGuide] = {
    7.5: TorqueGuide(1.4, 0.3, 0.8, 0.3, ENGINE_MAKER),
    8.0: TorqueGuide(0.9, 0.2, 0.7, 0.2, EQUIPMENT_MAKER),
    12.0: TorqueGuide(4.5, 0.7, 3.0, 0.5, ENGINE_MAKER),
    13.5: TorqueGuide(4.5, 0.5, 3.0, 0.5, EQUIPMENT_MAKER),
    14.0: TorqueGuide(7.5, 1.0, 4.5, 0.7, ENGINE_MAKER),
    16.0: TorqueGuide(7.5, 0.5, 4.5, 0.5, EQUIPMENT_MAKER),
}


def published(band_mm: float, hose: HoseState) -> list[ClampFigure]:
    """Give every published figure for a band near this wide, the nearest band first; empty where there is none.

    Raises ImpossibleClamp for a band not above zero.
    """
    if not isfinite(band_mm) or band_mm <= 0:
        raise ImpossibleClamp("The width of the band has to be above zero.")
    near = [band for band in WORM_DRIVE if abs(band - band_mm) <= NEAR_MM]
    return [_figure(band, hose) for band in sorted(near, key=lambda band: (abs(band - band_mm), band))]


def _figure(band: float, hose: HoseState) -> ClampFigure:
    guide = WORM_DRIVE[band]
    if hose == "new":
        return ClampFigure(band, guide.new_nm, guide.new_tolerance_nm, guide.source)
    return ClampFigure(band, guide.reused_nm, guide.reused_tolerance_nm, guide.source)
