"""The case file: read strictly, refused by name, never a traceback."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.airpath.words import Layout, Role, Suspect
from app.triage.case import CaseError, read_case, run_case
from tests.triage.conftest import LAYOUTS

JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=12), inner, max_size=3),
    max_leaves=8,
)


def answer(**case: object) -> dict[str, list[dict[str, object]]]:
    told = {"layout": "stored-vacuum"} | case
    found: dict[str, list[dict[str, object]]] = json.loads(
        run_case(json.dumps(told), as_json=True, layouts_folder=LAYOUTS)
    )
    return found


def refusal(**case: object) -> str:
    with pytest.raises(CaseError) as caught:
        read_case(json.dumps({"layout": "stored-vacuum"} | case))
    return str(caught.value)


def test_the_answer_has_exactly_the_shape_promised() -> None:
    found = answer(signs={"hiss": "under_boost", "boost_level": "slightly_low"})
    assert list(found) == ["roles", "suspects", "next"]
    assert set(found["roles"][0]) == {"role", "probability"}
    assert set(found["suspects"][0]) == {"id", "role", "label", "probability", "why"}
    why = found["suspects"][0]["why"]
    assert isinstance(why, list)
    assert all(set(each) == {"factor", "reason"} for each in why)
    assert all(
        set(step) in ({"ask", "minutes", "gain_bits"}, {"check", "minutes", "gain_bits"}) for step in found["next"]
    )
    for part in ("roles", "suspects"):
        chances = [float(str(each["probability"])) for each in found[part]]
        assert chances == sorted(chances, reverse=True)
        assert sum(chances) == pytest.approx(1)


def test_the_table_says_where_who_why_and_what_next() -> None:
    told = {
        "layout": "stored-vacuum",
        "touched": [{"role": "boost_control", "how": "reached_past", "days_ago": 2, "temp_c": 6, "material": "nylon"}],
        "signs": {"boost_stability": "erratic", "brake_pedal": "hard", "codes": ["P1234"]},
    }
    table = run_case(json.dumps(told), as_json=False, layouts_folder=LAYOUTS)
    for words in (
        "Where",
        "Suspects",
        "Next",
        "leaned on 2 days before, at 6 °C, hard plastic",
        "P1234",
        "Does not add up",
    ):
        assert words in table


def test_a_sign_that_tells_nothing_on_this_car_is_said_to_be_unused() -> None:
    told = json.dumps({"layout": "naturally-aspirated", "signs": {"boost_level": "none"}})
    assert "tell nothing on this car: boost_level" in run_case(told, as_json=False, layouts_folder=LAYOUTS)


@pytest.mark.parametrize(
    ("case", "named", "nearest"),
    [
        ({"toched": []}, "toched", "touched"),
        ({"layout": "stored-vacum"}, "stored-vacum", "stored-vacuum"),
        ({"touched": [{"role": "charge", "how": "replaced", "days": 3}]}, "days", "days_ago"),
        ({"touched": [{"role": "chrage", "how": "replaced"}]}, "chrage", "charge"),
        ({"touched": [{"role": "charge", "how": "dissconnected"}]}, "dissconnected", "disconnected"),
        ({"touched": [{"role": "charge", "how": "replaced", "material": "rubbber"}]}, "rubbber", "rubber"),
        ({"signs": {"his": "none"}}, "his", "hiss"),
        ({"signs": {"hiss": "at_idel"}}, "at_idel", "at_idle"),
        ({"readings": {"idle_vacum": 20}}, "idle_vacum", "idle_vacuum"),
        ({"readings": {"idle_vacuum": {"valu": 20}}}, "valu", "value"),
        ({"readings": {"idle_vacuum": {"value": 20, "unit": "inHG"}}}, "inHG", "inHg"),
        ({"readings": {"idle_vacuum": {"value": 20, "basis": "guage"}}}, "guage", "gauge"),
    ],
)
def test_whatever_is_not_known_is_refused_by_name_with_the_nearest_known(
    case: dict[str, object], named: str, nearest: str
) -> None:
    message = refusal(**case)
    assert named in message
    assert nearest in message


@pytest.mark.parametrize(
    ("case", "words"),
    [
        ({"touched": [{"how": "replaced"}]}, '"role" is missing'),
        ({"touched": [{"role": "charge"}]}, '"how" is missing'),
        ({"touched": [{"role": "power_limit", "how": "replaced"}]}, "nothing a job can touch"),
        ({"layout": "naturally-aspirated", "touched": [{"role": "charge", "how": "replaced"}]}, "naturally aspirated"),
        ({"touched": [{"role": "charge", "how": "replaced", "days_ago": -1}]}, "days_ago cannot be below 0"),
        ({"touched": [{"role": "charge", "how": "replaced", "km_ago": "ten"}]}, "km_ago must be a number"),
        ({"touched": [{"role": "charge", "how": "replaced", "checked": "yes"}]}, "must be true or false"),
        ({"signs": []}, "signs must be an object"),
        ({"touched": "charge"}, "touched must be a list"),
        ({"signs": {"codes": "P0171"}}, "signs.codes must be a list"),
        ({"signs": {"codes": ["lean"]}}, "does not look like a trouble code"),
        ({"signs": {"hiss": 3}}, "signs.hiss must be text"),
        ({"signs": {"hiss": "unknown"}}, '"unknown" is not an outcome'),
        ({"readings": {"idle_vacuum": {"unit": "inHg"}}}, '"value" is missing'),
        ({"readings": {"idle_vacuum": {"value": 40, "unit": "inHg"}}}, "deeper than"),
        ({"readings": {"vacuum_recovery": {"value": 2, "unit": "psi"}}}, "time is needed"),
        ({"readings": {"fuel_trim_idle": {"value": 2, "unit": "psi"}}}, "not a unit for this"),
    ],
)
def test_whatever_cannot_be_is_refused_where_it_stands(case: dict[str, object], words: str) -> None:
    assert words in refusal(**case)


def test_a_missing_layout_broken_json_and_a_key_given_twice_are_refused() -> None:
    for text, words in (
        ("{}", '"layout" is missing'),
        ("[]", "must be an object"),
        ("{", "not valid JSON: line 1"),
        ('{"layout": "direct-signal", "layout": "turbo-diesel"}', "given twice"),
        ("[" * 100_000, "nested far too deeply"),
    ):
        with pytest.raises(CaseError, match=words.replace('"', ".")):
            read_case(text)


def test_a_layout_whose_file_is_gone_is_said_so(tmp_path: object) -> None:
    with pytest.raises(CaseError, match="cannot be read"):
        run_case('{"layout": "direct-signal"}', as_json=True, layouts_folder=LAYOUTS / "nowhere")


@settings(deadline=None, max_examples=300)
@given(
    case=st.fixed_dictionaries({}, optional=dict.fromkeys(("touched", "signs", "readings", "baseline"), JSON)),
    layout=st.booleans(),
)
def test_no_case_file_whatever_ends_in_a_traceback(case: dict[str, object], layout: bool) -> None:
    told = case | ({"layout": "direct-signal"} if layout else {})
    try:
        said = run_case(json.dumps(told), as_json=False, layouts_folder=LAYOUTS)
    except CaseError as error:
        said = str(error)
    assert said


def test_a_null_sign_has_not_been_observed() -> None:
    assert answer(signs={"hiss": None, "codes": None}) == answer()


def test_what_people_call_a_material_is_understood() -> None:
    for word, key in (
        ("nylon", "hard_plastic"),
        ("EPDM", "rubber"),
        ("aluminium", "metal"),
        ("polyamide", "hard_plastic"),
    ):
        touch = {"role": "purge", "how": "reached_past", "days_ago": 3}
        named = answer(touched=[touch | {"material": word}])
        assert named == answer(touched=[touch | {"material": key}])


def test_readings_become_signs_and_a_sign_given_has_the_last_word() -> None:
    readings = {
        "readings": {"idle_vacuum": 16.5},
        "baseline": {"idle_vacuum": {"value": 20, "unit": "inHg", "spread": 0.4}},
    }
    assert answer(**readings)["roles"] == answer(signs={"idle_vacuum": "slightly_low"})["roles"]
    given_too = answer(**readings, signs={"idle_vacuum": "normal"})
    assert given_too["roles"] == answer(signs={"idle_vacuum": "normal"})["roles"]


def test_a_bare_number_is_read_in_the_unit_its_size_allows() -> None:
    target = {"baseline": {"steady_boost": 12}}
    psi = answer(readings={"steady_boost": 9}, **target)["roles"]
    assert psi == answer(signs={"boost_level": "slightly_low"})["roles"]
    assert psi == answer(readings={"boost_level": {"value": 62, "unit": "kPa", "basis": "gauge"}}, **target)["roles"]
    assert answer(readings={"steady_boost": 0.6}, baseline={"steady_boost": 0.8})["roles"] == psi


def test_vacuum_at_altitude_is_compared_in_absolute_pressure() -> None:
    here = {"value": 15.0, "unit": "inHg", "basis": "vacuum", "ambient_kpa": 84.3}
    assert (
        answer(readings={"idle_vacuum": here}, baseline={"idle_vacuum": 20})["roles"]
        == (answer(signs={"idle_vacuum": "normal"})["roles"])
    )


def test_a_touched_role_is_its_likeliest_line_or_the_component_itself() -> None:
    charge = answer(
        touched=[{"role": Role.CHARGE, "how": "disconnected", "days_ago": 1}], signs={"boost_level": "none"}
    )
    assert charge["suspects"][0]["role"] == Role.CHARGE
    valve = answer(touched=[{"role": Suspect.DIVERTER_VALVE, "how": "replaced", "days_ago": 1}])
    assert valve["suspects"][0]["id"] == "diverter_valve"


def test_a_touched_role_the_starter_layout_lacks_is_taken_to_be_there() -> None:
    found = answer(
        layout=Layout.DIRECT_SIGNAL,
        touched=[
            {"role": "vacuum_store", "how": "disconnected", "days_ago": 1},
            {"role": "changeover_solenoid", "how": "replaced"},
        ],
        signs={"first_start_vacuum": "low_then_builds"},
    )
    assert found["suspects"][0]["id"] == "unlisted_vacuum_store"
    assert "not in the starter layout" in str(found["suspects"][0]["label"])


def test_a_line_the_starter_layout_does_not_show_can_still_be_the_one() -> None:
    found = answer(
        layout=Layout.DIRECT_SIGNAL, signs={"first_start_vacuum": "low_then_builds", "idle_vacuum": "normal"}
    )
    assert "vacuum_store" in [share["role"] for share in found["roles"]][:3]


def test_a_tool_that_is_not_there_is_named_on_the_step_that_lacks_it() -> None:
    told = {"signs": {"vacuum_recovery": "slow"}, "tools": []}
    assert "lacks" not in json.dumps(answer(signs=told["signs"]))
    lacking = [step for step in answer(**told)["next"] if "lacks" in step]
    assert {"code_reader"} <= {str(each) for step in lacking for each in step["lacks"]}  # type: ignore[attr-defined]  # a list in JSON
    table = run_case(json.dumps({"layout": "stored-vacuum", **told}), as_json=False, layouts_folder=LAYOUTS)
    assert "Minutes left by checks alone: about " in table


def test_the_engine_as_it_is_counts_into_the_minutes() -> None:
    def minutes(engine: str) -> dict[object, object]:
        return {step["ask"]: step["minutes"] for step in answer(engine=engine)["next"] if "ask" in step}

    cold, running = minutes("cold"), minutes("running")
    assert float(str(cold["idle_needle"])) > float(str(running["idle_needle"]))
    assert float(str(cold["first_start_vacuum"])) < float(str(running["first_start_vacuum"]))


def test_what_was_repaired_before_is_given_and_seldom_to_blame_again() -> None:
    seen = {"idle_needle": "flicking", "codes": ["P0171"]}
    found = answer(repaired={"role": "gauge", "signs": seen}, signs={"idle_needle": "wavering"})
    assert str(found["given"]) == "gauge_hose"
    alone = answer(signs={"idle_needle": "wavering"})

    def chance(of: dict[str, list[dict[str, object]]]) -> float:
        return next(float(str(one["probability"])) for one in of["suspects"] if one["id"] == "gauge_hose")

    assert chance(found) < chance(alone) * 3
    told = {"layout": "stored-vacuum", "repaired": {"role": "gauge"}}
    table = run_case(json.dumps(told), as_json=False, layouts_folder=LAYOUTS)
    assert "Given that this is repaired: Gauge hose" in table


@pytest.mark.parametrize(
    ("case", "says"),
    [
        ({"tools": ["smoke_machin"]}, 'tools[0]: "smoke_machin" is not known; did you mean "smoke_machine"?'),
        ({"tools": ["engine_cold"]}, 'tools[0]: "engine_cold" is not known'),
        ({"tools": "smoke_machine"}, "tools must be a list"),
        ({"engine": "hot"}, 'engine: "hot" is not known'),
        ({"repaired": {}}, 'repaired: "role" is missing'),
        ({"repaired": {"role": "gague"}}, 'repaired.role: "gague" is not known; did you mean "gauge"?'),
        ({"repaired": {"role": "gauge", "signs": {"hiss": "loud"}}}, 'repaired.signs.hiss: "loud"'),
        ({"repaired": {"role": "gauge", "signs": {"codes": ["x"]}}}, 'repaired.signs.codes[0]: "X"'),
        ({"repaired": {"role": "gauge", "touched": []}}, 'repaired: no key is called "touched"'),
    ],
)
def test_what_is_wrong_with_tools_engine_or_repair_is_named(case: dict[str, object], says: str) -> None:
    assert says in refusal(**case)
