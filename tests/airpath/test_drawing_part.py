"""The SVG written from a drawing: one link a line, nothing the Content-Security-Policy forbids, names escaped."""

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from app.airpath.drawing import draw
from app.airpath.figure import Drawing, DrawnComponent, DrawnLine, JointMark, Marks
from app.airpath.words import ComponentKind, LineState, Role

Parts = tuple[list[DrawnComponent], list[DrawnLine]]

PAGES = Environment(
    loader=FileSystemLoader(Path(__file__).parents[2] / "templates"), autoescape=True, undefined=StrictUndefined
)
SVG = "{http://www.w3.org/2000/svg}"


def _render(drawing: Drawing, call: str = "drawing(d, '/lines/')") -> str:
    page = PAGES.from_string("{% from 'parts/drawing.html' import drawing, legend %}{{ " + call + " }}")
    return page.render(d=drawing)


def _tree(text: str) -> ET.Element:
    return ET.fromstring(text.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" '))  # noqa: S314  our own text


def test_every_line_is_a_link_with_its_name_and_state(parts: Parts) -> None:
    links = _tree(_render(draw(*parts))).findall(f".//{SVG}a")
    assert [link.get("href") for link in links] == [f"/lines/{line.id}" for line in parts[1]]
    for number, (link, line) in enumerate(zip(links, parts[1], strict=True), start=1):
        assert link.get("aria-label") == f"{number} {line.name}: original"
        assert link.findtext(f"{SVG}text") == str(number)


def test_nothing_is_styled_or_scripted_inline(parts: Parts) -> None:
    text = _render(draw(*parts)) + _render(draw(*parts), "legend()")
    assert not re.search(r"<style|<script|\sstyle=|\son\w+=", text)


@pytest.mark.parametrize(
    ("state", "marks", "classes"),
    [
        (LineState.ORIGINAL, Marks(), {"wall hose", "bore hose"}),
        (LineState.REPLACED, Marks(), {"wall hose", "bore hose", "collar"}),
        (LineState.STOPGAP, Marks(), {"hose stopgap", "joint stopgap"}),
        (LineState.ORIGINAL, Marks(touched=True), {"hose touched"}),
        (LineState.ORIGINAL, Marks(from_joint=JointMark.OFF), {"hose off", "joint off"}),
        (
            LineState.ORIGINAL,
            Marks(touched=True, from_joint=JointMark.CHECKED, to_joint=JointMark.ON),
            {"hose touched", "joint checked", "joint on", "stripe", "stripe-edge"},
        ),
    ],
)
def test_each_state_has_shapes_of_its_own(state: LineState, marks: Marks, classes: set[str]) -> None:
    drawing = draw(
        [DrawnComponent("a", "A", ComponentKind.OTHER), DrawnComponent("b", "B", ComponentKind.OTHER)],
        [DrawnLine("x", "Hose", Role.GAUGE, "a", "b", 4, state=state, marks=marks)],
    )
    found = {element.get("class") or "" for element in _tree(_render(drawing)).iter()}
    always = {"", "airpath", "halo hose", "box other", "tap", "glow hose", "number", "reach"}
    assert {name for name in found - always if not name.startswith("tag ")} == classes


def test_a_name_with_markup_in_it_is_only_text() -> None:
    drawing = draw(
        [DrawnComponent("a", "<b>A</b>", ComponentKind.OTHER), DrawnComponent("b", "B", ComponentKind.OTHER)],
        [DrawnLine("x", 'Hose "1" <i>', Role.GAUGE, "a", "b", 4)],
    )
    link = _tree(_render(drawing)).find(f".//{SVG}a")
    assert link is not None
    assert link.get("aria-label") == '1 Hose "1" <i>: original'
