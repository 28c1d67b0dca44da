"""The drawing on a job's page: as the car stood without the job, and over it whatever the job does to it."""

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from app.airpath.figure import PlacedJoint, PlacedLine
from app.pages.laid import Laid


@dataclass(frozen=True, slots=True)
class LiveDrawing:
    """What templates/parts/drawing.html asks of a job. `joints`: the joints' ids by line and end.

    A joint looks like its row in the list of loose ends ("e." and its id), a line like its row in the list of lines
    ("n." and its id). drawing.css sets that against what other jobs left behind.
    """

    page: Laid
    joints: Mapping[tuple[str, str], str]

    def line(self, line: PlacedLine) -> Markup:
        """What says whether a line was touched or is off."""
        return self.page.like(f"n.{line.id}")

    def joint(self, joint: PlacedJoint) -> Markup:
        """What says whether a joint is off, on, done."""
        row = self.joints.get((joint.line, joint.end))
        return self.page.like(f"e.{row}") if row else Markup()
