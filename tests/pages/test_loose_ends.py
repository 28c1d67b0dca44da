import uuid

import pytest
from starlette.testclient import TestClient

from app.records import loose_ends
from app.records.garage import Garage
from app.records.logbook import now
from app.records.loose_ends import LooseEnd
from tests.conftest import Enter
from tests.pages.seen import seen

JOINT = "tern.coupler.to"
URL = f"/jobs/job1/loose-ends/{JOINT}"


@pytest.fixture
def off(enter: Enter, tern: str) -> str:
    """The coupler is off at both ends; its joint at the throttle has a torque figure."""
    enter("joint", JOINT, torque_value=5, torque_tolerance=0.5, torque_unit="N.m", torque_source="maker's leaflet")
    enter("job", "job1", car=tern, title="Throttle coupler", opened_at=now())
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="disconnected", at=now())
    return "job1"


def _form(**more: str) -> dict[str, str]:
    plain = {"entry": str(uuid.uuid4()), "done_at": now(), "torque_unit": "N.m", "torque_value": "", "good": "yes"}
    return plain | more


def _end(garage: Garage, joint: str = JOINT) -> LooseEnd:
    with garage.read() as db:
        return next(end for end in loose_ends.of_job(db, "job1") if end.joint == joint)


def _checks(garage: Garage) -> int:
    with garage.read() as db:
        found = db.exec_driver_sql("SELECT count(*) FROM entry WHERE kind IN ('check', 'loose_end')").scalar()
        return int(found or 0)


def test_a_loose_end_says_what_holds_it_and_what_torque_it_wants(client: TestClient, off: str) -> None:
    row = seen(client.get(f"/jobs/{off}").text)
    assert "Throttle coupler, at the throttle" in row
    assert "T-bolt clamp, 5.0 N·m ± 0.5" in row
    page = client.get(URL).text
    assert "4.5\N{NO-BREAK SPACE}N·m to 5.5\N{NO-BREAK SPACE}N·m" in page
    assert "maker&#39;s leaflet" in page


def test_what_is_hard_to_reach_comes_first(client: TestClient, enter: Enter, off: str) -> None:
    enter("joint", "tern.coupler.to", hard_to_reach="yes")
    enter("joint", "tern.coupler.from", hard_to_reach="no")
    shown = seen(client.get(f"/jobs/{off}").text)
    assert shown.index("at the throttle") < shown.index("at the compressor")
    assert "Hard to reach: do it first" in shown


def test_back_on_is_one_tap_and_leaves_the_check_to_come(client: TestClient, garage: Garage, off: str) -> None:
    for _ in range(2):
        assert client.post(f"{URL}/back-on", data={}).headers["location"] == f"/jobs/{off}#loose-ends"
    assert _end(garage).state == "on"
    assert _checks(garage) == 1


def test_both_ends_go_back_on_with_one_tap(client: TestClient, garage: Garage, off: str) -> None:
    assert "Both ends back on" in client.get(URL).text
    client.post(f"/jobs/{off}/lines/tern.coupler/back-on", data={})
    assert [_end(garage, f"tern.coupler.{end}").state for end in ("from", "to")] == ["on", "on"]


def test_a_check_says_it_is_back_on_too(client: TestClient, garage: Garage, off: str) -> None:
    form = _form(torque_value="5,1", seated="yes", mark="drawn", note="New clamp")
    assert client.post(URL, data=form).status_code == 303
    end = _end(garage)
    assert (end.state, end.reached_value, end.reached_unit, end.seated, end.mark) == ("checked", 5.1, "N.m", 1, "drawn")
    assert end.back_on_at == end.checked_at
    assert "5.1 N·m, seated, mark drawn, checked" in seen(client.get(f"/jobs/{off}").text)


def test_a_check_made_at_a_moment_nobody_wrote_down_was_made_now(client: TestClient, garage: Garage, off: str) -> None:
    before = now()
    assert client.post(URL, data=_form(done_at="")).status_code == 303
    assert before <= str(_end(garage).checked_at) <= now()


def test_a_check_sent_twice_is_kept_once(client: TestClient, garage: Garage, off: str) -> None:
    form = _form(torque_value="5")
    for _ in range(2):
        assert client.post(URL, data=form).status_code == 303
    assert _checks(garage) == 2  # the check, and that it is back on


def test_a_check_brought_back_by_the_back_button_can_be_changed(client: TestClient, garage: Garage, off: str) -> None:
    form = _form(torque_value="5")
    client.post(URL, data=form)
    assert client.post(URL, data=form | {"torque_value": "5.2"}).status_code == 303
    assert _end(garage).reached_value == 5.2


@pytest.mark.parametrize("reached", ["6.2", "3"])
def test_a_torque_outside_the_limits_is_asked_about_and_then_kept(
    client: TestClient, garage: Garage, off: str, reached: str
) -> None:
    form = _form(torque_value=reached, note="Wrench slipped")
    asked = client.post(URL, data=form)
    assert asked.status_code == 422
    assert f"{reached} N·m is outside what this joint allows: 4.5 N·m to 5.5 N·m" in seen(asked.text)
    assert "Wrench slipped" in asked.text
    assert f'value="{reached}"' in asked.text
    assert _end(garage).state == "off"
    assert client.post(URL, data=form | {"sure": "torque", "good": "no"}).status_code == 303
    end = _end(garage)
    assert (end.state, end.reached_value) == ("on", float(reached))
    assert "Checked" in seen(client.get(f"/jobs/{off}").text)


def test_a_torque_in_another_unit_is_held_to_the_same_limits(client: TestClient, off: str) -> None:
    # 44.25 lbf·in is 5.0 N·m: 1 lbf·in = 0.1129848 N·m, NIST SP 811 (2008) App. B.8.
    assert client.post(URL, data=_form(torque_value="44.25", torque_unit="lbf.in")).status_code == 303
    assert client.post(URL, data=_form(torque_value="5", torque_unit="lbf.in")).status_code == 422


def test_without_a_tolerance_of_its_own_a_joint_has_the_wrenchs(client: TestClient, enter: Enter, off: str) -> None:
    enter("joint", JOINT, torque_value=50, torque_unit="N.m")
    # 4 %, ISO 6789:2003 Type II class A above 10 N·m: 48 to 52.
    assert client.post(URL, data=_form(torque_value="52")).status_code == 303
    asked = client.post(URL, data=_form(torque_value="52.1"))
    assert asked.status_code == 422
    assert "the 4 % a wrench may be off" in asked.text


def test_a_joint_without_a_figure_takes_any_torque(client: TestClient, garage: Garage, off: str) -> None:
    other = "tern.coupler.from"
    assert "No torque figure is on record" in client.get(f"/jobs/{off}/loose-ends/{other}").text
    assert client.post(f"/jobs/{off}/loose-ends/{other}", data=_form(torque_value="9")).status_code == 303
    assert _end(garage, other).reached_value == 9


def test_a_refused_check_keeps_every_value_and_leaves_the_joint_off(
    client: TestClient, garage: Garage, off: str
) -> None:
    form = _form(torque_value="tight", seated="no", mark="moved", note="By feel")
    answer = client.post(URL, data=form)
    assert answer.status_code == 422
    assert "Write a number" in answer.text
    for kept in ('value="tight"', 'value="no" checked', 'value="moved" checked', "By feel"):
        assert kept in answer.text
    assert _end(garage).state == "off"


def test_a_check_still_to_come_is_refused_whole(client: TestClient, garage: Garage, off: str) -> None:
    answer = client.post(URL, data=_form(done_at="2199-01-01T10:00"))
    assert answer.status_code == 422
    assert "still to come" in answer.text
    assert _checks(garage) == 0


def test_off_again_undoes_the_check_with_it(client: TestClient, garage: Garage, off: str) -> None:
    client.post(URL, data=_form(torque_value="5"))
    assert client.post(f"{URL}/off-again", data={}).headers["location"] == URL
    assert _end(garage).state == "off"
    client.post(f"{URL}/back-on", data={})
    assert _end(garage).state == "on"
    client.post(URL, data=_form(torque_value="5"))
    assert _end(garage).state == "checked"


def test_a_joint_this_job_did_not_take_off_is_said_so(client: TestClient, off: str) -> None:
    for path in (f"/jobs/{off}/loose-ends/tern.inlet.to", f"/jobs/{off}/loose-ends/nothing"):
        assert client.get(path).status_code == 404
        assert client.post(f"{path}/back-on", data={}).status_code == 404
    assert client.post(f"/jobs/{off}/lines/nothing/back-on", data={}).status_code == 404
