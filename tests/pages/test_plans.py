"""The plan's page, its stages, and the needs on a part's page."""

import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from app.records.plan import plan_of
from tests.conftest import Enter
from tests.seen import seen

ENTRY = "7a7ad1a4-7a4c-4b5e-9f5a-6f2a9d4f0002"


@pytest.fixture
def planned(enter: Enter, tern: str) -> str:
    """A stage with a core on order, pipes that are here and need it, and a tune after both."""
    enter("stage", "s1", car=tern, step=1, name="Cooled")
    enter("part", "core", car=tern, name="Core", state="ordered", stage="s1", expected_on="2024-05-12")
    enter("part", "pipe", car=tern, name="Pipes", state="here", stage="s1")
    enter("part", "tune", car=tern, name="Tune", kind="work", stage="s1")
    enter("need", "pipe.core", part="pipe", needs_part="core")
    enter("need", "tune.pipe", part="tune", needs_part="pipe")
    return tern


def test_a_stage_is_added_and_changed(client: TestClient, garage: Garage, tern: str) -> None:
    assert 'value="1"' in client.get("/cars/tern/stages/new").text
    form = {"entry": ENTRY, "record": "s1", "step": "1", "name": "Sealed", "power_kw": "160,5", "by_day": ""}
    assert client.post("/cars/tern/stages/new", data=form).headers["location"] == "/cars/tern/plan"
    assert "1. Sealed" in seen(client.get("/cars/tern/plan").text)
    assert client.post("/cars/tern/stages/s1", data=form | {"name": "Sealed well"}).status_code == 303
    refused = client.post("/cars/tern/stages/s1", data=form | {"step": "0"})
    assert refused.status_code == 422
    assert "It can&#39;t be less than 1." in refused.text
    with garage.read() as db:
        (stage,) = plan_of(db, tern).stages
    assert (stage.name, stage.power_kw) == ("Sealed well", 160.5)
    assert client.get("/cars/tern/stages/none").status_code == 404


def test_what_can_be_done_and_what_holds_the_stage_up_are_told(client: TestClient, enter: Enter, planned: str) -> None:
    text = seen(client.get("/cars/tern/plan").text)
    assert "Nothing can be done with what is here" in text
    assert "Ordered, was due 12 May 2024" in text
    assert "Holds up Core, Pipes, Tune" in text
    enter("part", "core", state="fitted")
    text = seen(client.get("/cars/tern/plan").text)
    assert "Pipes Here · stage 1" in text
    assert "To be fitted first; it can be now" in text
    assert "1 of 3 done" in text


def test_the_graph_is_drawn_with_the_state_in_the_shape_and_every_box_can_be_tapped(
    client: TestClient, planned: str
) -> None:
    page = client.get("/cars/tern/plan").text
    for state, part in (("ordered", "core"), ("here", "pipe"), ("wanted", "tune")):
        assert f'<a class="{state}" href="/parts/{part}"' in page
    assert page.count('<path class="way') == 2


def test_a_need_of_every_kind_is_put_down_and_met_by_what_the_record_says(
    client: TestClient, garage: Garage, enter: Enter, planned: str
) -> None:
    enter("part", "gasket", car=planned, name="Gasket")
    for number, need in enumerate(
        ({"needs_here": "gasket"}, {"tool": "smoke_machine"}, {"reading": "idle_vacuum"}, {"what": "Dry weather"})
    ):
        form = {"entry": f"{ENTRY[:-1]}{number}", "record": f"n{number}"} | need
        assert client.post("/parts/core/needs", data=form).status_code == 303
    text = seen(client.get("/parts/core").text)
    for said in ("Gasket is here Not yet", "A smoke machine Met", "Its idle vacuum is as usual Not yet", "Dry weather"):
        assert said in text
    read = {"car": planned, "what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}
    enter("baseline", f"{planned}.idle_vacuum.warm", centre=19.5, spread=0.5, **read)
    enter("reading", "r1", value=19.4, taken_at="2024-01-02T10:00:00.000Z", **read)
    enter("tool", "smoke_machine", tool="smoke_machine", owned="no")
    enter("part", "gasket", state="shelf")
    client.post("/needs/n3/met", data={"met": "yes"})
    text = seen(client.get("/parts/core").text)
    for said in ("Gasket is here Met", "A smoke machine Not yet", "Its idle vacuum is as usual Met", "Dry weather Met"):
        assert said in text
    enter("reading", "r2", value=12, taken_at="2024-01-03T10:00:00.000Z", **read)
    client.post("/needs/n3/met", data={"met": "no"})
    text = seen(client.get("/parts/core").text)
    assert "Its idle vacuum is as usual Not yet" in text
    assert "Dry weather Not yet" in text
    assert client.post("/needs/n3/void", data={}).headers["location"] == "/parts/core#needs"
    assert "Dry weather" not in seen(client.get("/parts/core").text)
    assert client.post("/needs/none/void", data={}).status_code == 404


def test_a_cycle_is_refused_at_its_box_with_the_way_round_named(
    client: TestClient, garage: Garage, planned: str
) -> None:
    answer = client.post("/parts/core/needs", data={"entry": ENTRY, "needs_part": "tune"})
    assert answer.status_code == 422
    said = "That goes round in a circle: Core needs Tune, which needs Pipes, which needs Core."
    assert f'<p class="wrong" id="needs_part-hint">{said}</p>' in answer.text
    assert f'value="tune" selected data-why="{said}"' in answer.text  # on the phone it is refused by the same words
    itself = client.post("/parts/core/needs", data={"entry": ENTRY, "needs_part": "core"})
    assert "A part can&#39;t need itself." in itself.text
    with garage.read() as db:
        assert plan_of(db, planned).items["core"].needs == ()


def test_a_cycle_that_came_from_two_phones_is_named_and_survived(
    client: TestClient, enter: Enter, planned: str
) -> None:
    enter("need", "core.tune", part="core", needs_part="tune", device_="the other phone")
    page = client.get("/cars/tern/plan")
    assert page.status_code == 200
    assert "The plan goes round in a circle: Core needs Tune, which needs Pipes, which needs Core." in seen(page.text)
    for part in ("core", "pipe", "tune"):
        assert client.get(f"/parts/{part}").status_code == 200


def test_a_need_on_a_part_that_is_gone_is_unmet_and_says_so(client: TestClient, enter: Enter, planned: str) -> None:
    enter("part", "core", state="gone")
    assert "Core is gone: this can't be met." in seen(client.get("/parts/pipe").text)
    text = seen(client.get("/cars/tern/plan").text)
    assert "It is gone: what needs it can't be done." in text
    enter("part", "core", void_reason="A slip")
    assert "Core is gone: this can't be met." in seen(client.get("/parts/pipe").text)
    assert "Nothing can be done with what is here" in seen(client.get("/cars/tern/plan").text)


def test_a_car_without_a_plan_says_how_to_begin(client: TestClient, tern: str) -> None:
    text = seen(client.get("/cars/tern/plan").text)
    assert "Nothing is planned yet." in text
    assert "No stage yet." in text
