"""What is drawn on a photo, the photo it is held against, and photos of parts, without scripts."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from app.pages.drawn import WIDE, drawn, points_of, tall_of, text_of
from app.records.garage import Garage
from app.records.photos import photo, photos_of
from tests.conftest import Enter
from tests.pages.test_photos import AS_A_PHONE, picture
from tests.seen import seen

AT = "2026-04-18T10:40:00.000Z"
SHARE = st.floats(min_value=0, max_value=1)


@pytest.fixture
def shot(client: TestClient, enter: Enter, tern: str) -> str:
    client.post("/photos/p1/picture", content=picture(), headers=AS_A_PHONE)
    enter("photo", "p1", car=tern, line="tern.coupler", taken_at=AT)
    return "p1"


def test_what_was_drawn_lies_over_the_picture(client: TestClient, enter: Enter, shot: str) -> None:
    enter("photo", shot, rings="[[0.5,0.25]]", arrows="[[0.1,0.1],[0.4,0.4]]")
    page = client.get(f"/photos/{shot}").text
    assert 'viewBox="0 0 1000 667"' in page  # the picture is 60 by 40
    assert '<circle cx="500.0" cy="166.8" r="70"/>' in page
    assert 'aria-label="1 ring and 1 arrow drawn on it"' in page


def test_a_ring_and_an_arrow_are_placed_by_figures_and_wiped(client: TestClient, garage: Garage, shot: str) -> None:
    ring = {"shape": "ring", "across": "50 %", "down": "12,5"}
    arrow = {"shape": "arrow", "across": "10", "down": "10", "to_across": "40", "to_down": "40"}
    assert client.post(f"/photos/{shot}/draw", data=ring).status_code == 303
    assert client.post(f"/photos/{shot}/draw", data=arrow).status_code == 303
    with garage.read() as db:
        kept = photo(db, shot)
    assert kept is not None
    assert (kept.rings, kept.arrows) == ("[[0.5,0.125]]", "[[0.1,0.1],[0.4,0.4]]")
    client.post(f"/photos/{shot}/draw", data={"wipe": "yes"})
    assert "0 rings and 0 arrows" in client.get(f"/photos/{shot}").text


@pytest.mark.parametrize("across", ["", "far", "101", "-1", "nan"])
def test_a_place_outside_the_picture_is_asked_for_again(
    client: TestClient, garage: Garage, shot: str, across: str
) -> None:
    answer = client.post(f"/photos/{shot}/draw", data={"shape": "ring", "across": across, "down": "10"})
    assert answer.status_code == 422
    assert "in percent" in seen(answer.text)
    assert f'value="{across}"' in answer.text
    with garage.read() as db:
        kept = photo(db, shot)
    assert kept is not None
    assert kept.rings is None


def test_before_and_after_stand_side_by_side(client: TestClient, enter: Enter, tern: str, shot: str) -> None:
    enter("photo", "p0", car=tern, line="tern.coupler", taken_at="2026-04-01T10:40:00.000Z", note="Split")
    enter("photo", "px", car=tern, line="tern.inlet", taken_at=AT)
    page = client.get(f"/photos/{shot}").text
    assert '<option value="p0">1 Apr 2026' in page
    assert "px" not in page
    assert client.post(f"/photos/{shot}/before", data={"before": "p0"}).status_code == 303
    page = client.get(f"/photos/{shot}").text
    assert "data-two" in page
    assert 'src="/photos/p0/picture"' in page
    assert f'href="/photos/{shot}"' in client.get("/photos/p0").text
    client.post(f"/photos/{shot}/before", data={"before": ""})
    assert "data-two" not in client.get(f"/photos/{shot}").text


def test_a_photo_is_not_held_against_itself_nor_against_none_of_ours(client: TestClient, shot: str) -> None:
    client.post(f"/photos/{shot}/before", data={"before": shot})
    assert "data-two" not in client.get(f"/photos/{shot}").text
    assert client.post(f"/photos/{shot}/before", data={"before": "nobody"}).status_code == 422


def test_a_photo_of_a_part_is_taken_by_the_form_of_that_part(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("part", "elbow", car=tern, name="Elbow ninety", kind="hose", state="shelf")
    form = client.get("/photos/new?part=elbow").text
    assert 'name="part" value="elbow"' in form
    told = {"car": tern, "part": "elbow", "record": "e1", "entry": ""}
    answer = client.post("/photos/new", data=told, files={"picture": ("x.jpg", picture(), "image/jpeg")})
    assert (answer.status_code, answer.headers["location"]) == (303, "/parts/elbow#photos")
    with garage.read() as db:
        assert [one.id for one in photos_of(db, "part", "elbow")] == ["e1"]
    assert "Elbow ninety" in seen(client.get("/photos/e1").text)
    assert client.get("/photos/new?part=none").status_code == 404
    assert client.get("/photos/new").status_code == 404


@given(st.lists(st.tuples(SHARE, SHARE)))
def test_points_come_back_as_they_were_kept(points: list[tuple[float, float]]) -> None:
    assert points_of(text_of(points)) == points


@given(st.text())
def test_points_that_are_none_are_drawn_as_nothing_or_within_the_picture(text: str) -> None:
    assert all(0 <= x <= 1 and 0 <= y <= 1 for x, y in points_of(text))


@given(SHARE, SHARE, SHARE, SHARE)
def test_an_arrow_begins_at_its_tail_and_points_at_its_head(a: float, b: float, c: float, d: float) -> None:
    tall = tall_of(400, 300)
    (path,) = drawn(None, text_of([(a, b), (c, d)]), tall).arrows
    numbers = [[float(n) for n in point.split()] for point in path.replace("M", "L").split("L")[1:]]
    tail, tip, left, again, right = numbers
    assert math.dist(tail, (a * WIDE, b * tall)) < 0.1
    assert tip == again
    assert math.dist(tip, (c * WIDE, d * tall)) < 0.1
    assert math.isclose(math.dist(tip, left), math.dist(tip, right), abs_tol=0.2)
