"""The five starter layouts, and each as the drawing takes it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from app.airpath.figure import DrawnComponent, DrawnLine
from app.airpath.layouts import StarterLayout, load
from app.airpath.words import Layout

FOLDER = Path(__file__).parents[2] / "seed_data" / "layouts"

Parts = tuple[list[DrawnComponent], list[DrawnLine]]


@pytest.fixture(params=list(Layout), ids=[layout.value for layout in Layout])
def starter(request: pytest.FixtureRequest) -> StarterLayout:
    layout: Layout = request.param
    return load(layout, FOLDER)


@pytest.fixture
def layout_folder() -> Path:
    return FOLDER


@pytest.fixture(scope="session")
def parts_of() -> Callable[[StarterLayout], Parts]:
    def parts(starter: StarterLayout) -> Parts:
        components = [DrawnComponent(c.key, c.name, c.kind, c.x, c.y, c.w, c.h) for c in starter.components]
        lines = [
            DrawnLine(x.key, x.name, x.role, x.from_joint.component, x.to_joint.component, x.bore_mm, x.route)
            for x in starter.lines
        ]
        return components, lines

    return parts


@pytest.fixture
def parts(starter: StarterLayout, parts_of: Callable[[StarterLayout], Parts]) -> Parts:
    return parts_of(starter)
