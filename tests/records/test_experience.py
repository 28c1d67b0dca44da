"""What the fitter and the closed tickets of a garage know better reaches the ranking."""

import json
import uuid
from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest

from app.records.entry import Entry, Value
from app.records.experience import tools_there
from app.records.garage import Garage
from app.records.logbook import now
from app.records.suspects import field_of, ranked
from app.triage.at_hand import TOOLS
from app.triage.knowledge.grades import Grade
from app.triage.signs import Need
from tests.conftest import Count, Enter
from tests.records.test_suspects import case_of, days_before

WEAVE = {
    "kind": "gauge",
    "sign": "idle_needle",
    "outcome": "wavering",
    "grade": "almost_never",
    "note": "It is damped.",
}


@pytest.fixture
def wanders(enter: Enter, tern: str) -> str:
    enter("ticket", "t1", car=tern, what="Needle wanders", noticed_at=days_before(0))
    noted = {"sign": "idle_needle", "outcome": "wavering", "noted_at": days_before(0)}
    enter("sign", "t1.idle_needle", ticket="t1", **noted)
    return "t1"


def chance(garage: Garage, suspect: str) -> float:
    ranking = ranked(case_of(garage, "t1")[2])
    return next(one.probability for one in ranking.suspects if one.id == suspect)


def refused(garage: Garage, kind_: str, record_: str, **fields: Value) -> dict[str, str]:
    at = now()
    return dict(garage.take(Entry(str(uuid.uuid4()), kind_, record_, fields, at, at, "phone")).reasons)


def test_nobody_having_said_a_thing_every_tool_is_there(garage: Garage, enter: Enter, wanders: str) -> None:
    assert case_of(garage, "t1")[2].tools is None
    enter("tool", "smoke_machine", tool="smoke_machine", owned="no")
    assert case_of(garage, "t1")[2].tools == TOOLS - {Need.SMOKE_MACHINE}
    enter("tool", "smoke_machine", void_reason="Nobody asked")
    assert case_of(garage, "t1")[2].tools is None


def test_a_tool_that_is_not_there_puts_its_checks_last(garage: Garage, enter: Enter, wanders: str) -> None:
    enter("tool", "hand_vacuum_pump", tool="hand_vacuum_pump", owned="no")
    steps = ranked(case_of(garage, "t1")[2]).next
    lacking = [bool(step.lacks) for step in steps]
    assert any(lacking)
    assert lacking == sorted(lacking)


def test_a_tool_had_again_is_there_again(garage: Garage, enter: Enter, tern: str) -> None:
    enter("tool", "code_reader", tool="code_reader", owned="no")
    enter("tool", "code_reader", owned="yes")
    with garage.read() as db:
        assert tools_there(db) == TOOLS


@pytest.mark.parametrize(
    ("kind", "fields", "wrong"),
    [
        ("tool", {"tool": "chainsaw", "owned": "yes"}, "tool"),
        ("tool", {"tool": "engine_cold", "owned": "yes"}, "tool"),
        ("own_suspect", {"car": "tern", "label": "Weld", "behaves_like": "weld"}, "behaves_like"),
        ("own_suspect", {"car": "tern", "label": "", "behaves_like": "charge"}, "label"),
        ("own_suspect", {"car": "tern", "label": "Weld", "behaves_like": "charge", "likely": "often"}, "likely"),
        ("overrule", {"car": "tern", **WEAVE, "kind": "weld"}, "kind"),
        ("overrule", {"car": "tern", **WEAVE, "sign": "smell"}, "sign"),
        ("overrule", {"car": "tern", **WEAVE, "outcome": "steady_as_a_rock"}, "outcome"),
        ("overrule", {"car": "tern", **WEAVE, "grade": "always"}, "grade"),
        ("overrule", {"car": "tern", **WEAVE, "note": ""}, "note"),
    ],
)
def test_the_door_refuses_what_the_table_has_no_place_for(
    garage: Garage, tern: str, kind: str, fields: dict[str, Value], wrong: str
) -> None:
    assert list(refused(garage, kind, "r1", **fields)) == [wrong]


def test_a_suspect_of_ones_own_is_ranked_as_what_it_behaves_like(garage: Garage, enter: Enter, wanders: str) -> None:
    enter("own_suspect", "o1", car="tern", label="Gauge adaptor", behaves_like="gauge")
    usual = chance(garage, "o1")
    enter("own_suspect", "o1", likely="twice")
    assert chance(garage, "o1") > 1.5 * usual
    own = case_of(garage, "t1")[2].candidate("o1")
    assert own is not None
    assert (own.label, field_of(own)) == ("Gauge adaptor", "own_suspect")


def test_struck_out_it_is_no_suspect(garage: Garage, enter: Enter, wanders: str) -> None:
    enter("own_suspect", "o1", car="tern", label="Gauge adaptor", behaves_like="gauge", void_reason="Gone")
    assert case_of(garage, "t1")[2].candidate("o1") is None


def test_it_is_no_suspect_of_another_car(garage: Garage, enter: Enter, wanders: str) -> None:
    enter("car", "other", name="Other", layout="direct-signal")
    enter("own_suspect", "o1", car="other", label="Gauge adaptor", behaves_like="gauge")
    assert case_of(garage, "t1")[2].candidate("o1") is None


def test_it_is_checked_found_and_teaches_what_it_behaves_like(garage: Garage, enter: Enter, wanders: str) -> None:
    enter("own_suspect", "o1", car="tern", label="Thin stub", behaves_like="charge_small")
    before = chance(garage, "o1")
    enter(
        "direct_check",
        "d1",
        ticket="t1",
        own_suspect="o1",
        method="look_and_feel",
        result="fault",
        done_at=days_before(0),
    )
    assert chance(garage, "o1") > before
    enter(
        "ticket", "t1", found_at=days_before(-1), found_own_suspect="o1", proved_at=days_before(-2), proof_reason="Ok"
    )
    enter("ticket", "t2", car="tern", what="Again", noticed_at=days_before(-3))
    _, found, _ = case_of(garage, "t1")
    assert (found.found_label, found.found_id) == ("Thin stub", "o1")
    assert case_of(garage, "t2")[2].taught == (("charge", 1),)


def test_an_overruled_grade_moves_the_suspect_it_is_about(garage: Garage, enter: Enter, wanders: str) -> None:
    before = chance(garage, "tern.gauge_hose")
    enter("overrule", "tern.gauge.idle_needle.wavering", car="tern", **WEAVE)
    (said,) = case_of(garage, "t1")[2].overrules
    assert said.grade is Grade.ALMOST_NEVER
    assert chance(garage, "tern.gauge_hose") < before / 3
    enter("overrule", "tern.gauge.idle_needle.wavering", void_reason="It was the gauge")
    assert chance(garage, "tern.gauge_hose") == pytest.approx(before)


def test_a_closed_ticket_that_is_not_to_teach_teaches_nothing(garage: Garage, enter: Enter, wanders: str) -> None:
    enter("ticket", "t0", car="tern", what="Hiss", noticed_at=days_before(90), found_at=days_before(80))
    enter("ticket", "t0", found_line="tern.coupler", proved_at=days_before(70), proof_reason="Gone")
    assert case_of(garage, "t1")[2].taught == (("charge", 1),)
    enter("ticket", "t0", teaches="no")
    assert case_of(garage, "t1")[2].taught == ()
    enter("ticket", "t0", teaches="yes")
    assert case_of(garage, "t1")[2].taught == (("charge", 1),)


def test_an_entry_taken_before_its_set_of_fields_grew_is_had_and_not_refused(garage: Garage, enter: Enter) -> None:
    enter("car", "tern", name="Tern", layout="direct-signal")
    enter("ticket", "t1", car="tern", what="Hiss", noticed_at=days_before(9))
    at, entry = now(), str(uuid.uuid4())
    then = {"found_at": days_before(1), "found_line": None, "found_component": None, "found_suspect": "wastegate"}
    with garage.engine.begin() as db:
        db.exec_driver_sql(
            "INSERT INTO entry (id, kind, record, version, fields, happened_at, entered_at, counted_at, entered_by,"
            " received_at) VALUES (?, 'ticket', 't1', 1, ?, ?, ?, ?, 'phone', ?)",
            (entry, json.dumps(then, sort_keys=True, separators=(",", ":")), at, at, at, at),
        )
    again = Entry(entry, "ticket", "t1", {"found_at": then["found_at"], "found_suspect": "wastegate"}, at, at, "phone")
    assert garage.take(again).outcome == "had"


def test_more_of_it_adds_no_query(
    garage: Garage, enter: Enter, wanders: str, count_queries: Callable[[Garage], AbstractContextManager[Count]]
) -> None:
    def looked() -> int:
        with count_queries(garage) as count:
            case_of(garage, "t1")
        return count.total

    before = looked()
    for n in range(3):
        enter("own_suspect", f"o{n}", car="tern", label=f"Adaptor {n}", behaves_like="gauge")
    for tool in sorted(TOOLS):
        enter("tool", tool, tool=tool, owned="no")
    for grade in ("steady", "wavering"):
        enter("overrule", f"tern.gauge.idle_needle.{grade}", car="tern", **{**WEAVE, "outcome": grade})
    assert looked() == before
