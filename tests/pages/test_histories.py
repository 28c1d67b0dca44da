import uuid

import pytest
from sqlalchemy import select
from starlette.testclient import TestClient

from app.records.entry import Entry
from app.records.garage import Garage
from app.records.kinds import KINDS
from app.records.record_heads import head_of
from app.traces.file_form import Column, FileForm
from tests.conftest import Enter, paired

AT = "2024-01-02T10:00:00.000Z"
TIME_AND_SPEED = FileForm(
    "utf-8", ";", ",", 2, 0, "seconds", (Column("time"), Column("rpm", "engine_speed", "rpm"))
).as_text()


def test_every_entry_says_when_by_which_device_and_what(client: TestClient, enter: Enter, tern: str) -> None:
    enter("line", "tern.coupler", device_="shed tablet", material="rubber", from_component="tern.manifold")
    text = client.get("/records/line/tern.coupler/history").text
    for said in ("shed tablet", "material: <b>rubber</b>", "from: <b>Manifold</b>", "<s>silicone</s>", "entered first"):
        assert said in text


def test_what_came_in_late_and_lost_says_so(client: TestClient, garage: Garage, enter: Enter, tern: str) -> None:
    enter("line", "tern.coupler", at_="2090-01-01T10:00:00.000Z", device_="shed tablet", note="Later")
    early = "2089-01-01T10:00:00.000Z"
    garage.take(Entry(str(uuid.uuid4()), "line", "tern.coupler", {"note": "Sooner"}, early, early, "old phone"))
    # Both clocks are far ahead and are pulled back to receipt, so the one received later counts.
    assert "never took effect" not in client.get("/records/line/tern.coupler/history").text
    enter("line", "tern.inlet", at_="2024-01-03T10:00:00.000Z", device_="shed tablet", note="Later")
    garage.take(Entry(str(uuid.uuid4()), "line", "tern.inlet", {"note": "Sooner"}, AT, AT, "old phone"))
    text = client.get("/records/line/tern.inlet/history").text
    assert "<s>Sooner</s>" in text
    assert "never took effect: Later was entered later" in text


def test_a_record_is_struck_out_with_a_reason_and_taken_back(client: TestClient, enter: Enter, tern: str) -> None:
    url = "/records/line/tern.coupler"
    refused = client.post(f"{url}/void", data={"void_reason": " "})
    assert refused.status_code == 422
    assert "Say why, for whoever wonders later." in refused.text
    answer = client.post(f"{url}/void", data={"void_reason": "Entered for the wrong car"})
    assert answer.headers["location"] == f"{url}/history"
    assert "Entered for the wrong car" in client.get(f"{url}/history").text
    assert client.get("/lines/tern.coupler").status_code == 404
    assert client.post(f"{url}/take-back", data={}).status_code == 303
    assert client.get("/lines/tern.coupler").status_code == 200
    assert "Entered for the wrong car" in client.get(f"{url}/history").text


@pytest.mark.parametrize("path", ["line/none", "nothing/tern", "line/%3Cb%3E"])
def test_an_unknown_record_is_said_to_be_unknown(client: TestClient, tern: str, path: str) -> None:
    assert client.get(f"/records/{path}/history").status_code == 404
    assert client.post(f"/records/{path}/void", data={"void_reason": "x"}).status_code == 404
    assert client.post(f"/records/{path}/take-back").status_code == 404


def test_every_kind_of_record_has_a_history_and_a_way_back(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("job", "job1", car=tern, title="Coupler", opened_at=AT)
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="disconnected", at=AT)
    enter("loose_end", "job1.tern.coupler.to", job="job1", joint="tern.coupler.to", back_on_at=AT)
    enter("check", "job1.tern.coupler.to", car=tern, job="job1", joint="tern.coupler.to", done_at=AT)
    enter("recheck", "recheck1", car=tern, what="Clamps", since_at=AT, after_days=3)
    enter("part_change", "change1", job="job1", component="tern.gauge", on_part="New gauge", at=AT)
    enter("finding", "finding1", car=tern, what="Shaft play", seen_at=AT)
    enter("drive", "drive1", car=tern, at=AT, odometer=184_000)
    read = {"car": tern, "what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}
    enter("reading", "reading1", value=19.5, taken_at=AT, **read)
    enter("baseline", f"{tern}.idle_vacuum.warm", centre=19.5, spread=0.5, **read)
    enter("car_figures", tern, car=tern, displacement_l=1.998)
    target = {"curve": "[[3000,1.0]]", "tolerance": 0.1, "unit": "bar", "basis": "gauge"}
    enter("boost_target", f"{tern}.boost", car=tern, **target)
    enter("ticket", "ticket1", car=tern, what="Boost wanders", noticed_at=AT)
    enter("sign", "ticket1.hiss", ticket="ticket1", sign="hiss", outcome="none", noted_at=AT)
    check = {"ticket": "ticket1", "line": "tern.coupler", "method": "look_and_feel", "result": "sound"}
    enter("direct_check", "direct1", done_at=AT, **check)
    enter("stopgap", "gap1", car=tern, what="Clip", used="Cable tie", fitted_at=AT, limit_days=3)
    enter("event", "event1", car=tern, name="Hill climb", kind="sprint", on_day="2024-05-01")
    enter("photo", "photo1", car=tern, job="job1", taken_at=AT)
    enter("tool", "smoke_machine", tool="smoke_machine", owned="no")
    enter("own_suspect", "own1", car=tern, label="Weld seam", behaves_like="charge")
    weave = {"kind": "gauge", "sign": "idle_needle", "outcome": "wavering", "grade": "often", "note": "Seen twice"}
    enter("overrule", f"{tern}.gauge.idle_needle.wavering", car=tern, **weave)
    enter("stage", "stage1", car=tern, step=1, name="Cooled")
    enter("part", "part1", car=tern, name="Core", stage="stage1", price=300, currency="EUR")
    enter("need", "part1.smoke_machine", part="part1", tool="smoke_machine")
    torque = {"torque_value": 110, "torque_unit": "N.m", "torque_source": "Maker's manual"}
    enter("fastener", "fastener1", car=tern, name="Front wheels", how_many=10, **torque)
    enter("wrench", "wrench1", name="Half inch", smallest=40, largest=200, unit="N.m")
    enter("must", "must1", car=tern, what="Belts looked at")
    enter("looked_at", "event1.must1", event="event1", must="must1", good="yes", looked_at=AT)
    held = {"medium": "vacuum", "unit": "inHg", "start_value": 18, "end_value": 17, "limit_loss": 1, "limit_s": 60}
    enter(
        "hold_test", "hold1", car=tern, line="tern.gauge_hose", started_at=AT, ended_at="2024-01-02T10:01:00Z", **held
    )
    enter("logger", "logger1", name="The little logger", columns=TIME_AND_SPEED)
    enter("trace", "trace1", car=tern, name="drive.csv", begun_at=AT, logger="logger1", columns=TIME_AND_SPEED)
    enter("overboost", "trace1", trace="trace1", looked_at=AT)
    with garage.read() as db:
        for kind in KINDS.values():
            record = db.execute(select(kind.table.c.id).limit(1)).scalar()
            head = head_of(db, kind.name, str(record))
            assert head is not None, kind.name
            assert (head.car, head.label) == (None if kind.name in {"tool", "wrench", "logger"} else tern, kind.label)
            assert head.title
            assert client.get(f"/records/{kind.name}/{record}/history").status_code == 200
    assert "unit: <b>N·m</b>" in client.get("/records/wrench/wrench1/history").text


def test_a_device_is_told_by_its_name(client: TestClient, garage: Garage, enter: Enter, tern: str) -> None:
    tablet = paired(garage, "Bay tablet").partition(".")[0]
    enter("line", "tern.coupler", device_=tablet, note="Seen from the tablet")
    enter("line", "tern.coupler", device_="0123456789abcdef", note="Seen from elsewhere")
    text = client.get("/records/line/tern.coupler/history").text
    for said in (", Bay tablet.", ", device 0123."):
        assert said in text


@pytest.mark.parametrize("note", ["ABCD-12-34", "2026-02-30", "2026-02-30T10:40:00.000Z"])
def test_a_text_that_only_looks_like_a_day_is_told_as_it_is(
    client: TestClient, enter: Enter, tern: str, note: str
) -> None:
    enter("line", "tern.coupler", note=note)
    assert f"<b>{note}</b>" in client.get("/records/line/tern.coupler/history").text
