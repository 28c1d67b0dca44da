"""The starter layouts are complete, and a file that cannot be true is refused by name."""

from collections import Counter
from pathlib import Path

import pytest

from app.airpath.layouts import Facts, Fuel, LayoutError, StarterLayout, load
from app.airpath.words import ComponentKind, Hold, Layout, Role

LINES = {
    Layout.STORED_VACUUM: (25, 40),
    Layout.DIRECT_SIGNAL: (25, 40),
    Layout.ELECTRIC_DIVERTER: (20, 35),
    Layout.TURBO_DIESEL: (20, 35),
    Layout.NATURALLY_ASPIRATED: (15, 25),
}
EVERY_ROLE = set(Role)
MISSING_ROLES = {
    Layout.STORED_VACUUM: set[Role](),
    Layout.DIRECT_SIGNAL: {Role.VACUUM_STORE},
    Layout.ELECTRIC_DIVERTER: {Role.DIVERTER_SIGNAL, Role.VACUUM_STORE, Role.FUEL_REGULATOR},
    Layout.TURBO_DIESEL: {Role.RECIRCULATION, Role.DIVERTER_SIGNAL, Role.PURGE, Role.FUEL_REGULATOR},
    Layout.NATURALLY_ASPIRATED: {Role.CHARGE, Role.RECIRCULATION, Role.DIVERTER_SIGNAL, Role.BOOST_CONTROL},
}


def test_a_layout_has_as_many_lines_as_a_real_car(starter: StarterLayout) -> None:
    fewest, most = LINES[starter.layout]
    assert fewest <= len(starter.lines) <= most


def test_a_layout_has_every_role_its_kind_of_car_has_and_no_other(starter: StarterLayout) -> None:
    assert {line.role for line in starter.lines} == EVERY_ROLE - MISSING_ROLES[starter.layout]


def test_every_component_is_on_some_line(starter: StarterLayout) -> None:
    met = {joint.component for line in starter.lines for joint in (line.from_joint, line.to_joint)}
    assert {part.key for part in starter.components} == met


def test_no_two_components_or_lines_of_a_layout_share_a_name(starter: StarterLayout) -> None:
    for names in ([part.name for part in starter.components], [line.name for line in starter.lines]):
        assert [name for name, count in Counter(names).items() if count > 1] == []


def test_a_tee_is_small_and_joins_three_lines_or_two_pipes(starter: StarterLayout) -> None:
    for tee in (part for part in starter.components if part.kind is ComponentKind.TEE):
        ends = [x for x in starter.lines if tee.key in (x.from_joint.component, x.to_joint.component)]
        assert tee.w <= 20
        assert tee.h <= 20
        assert len(ends) == 3 or (len(ends) == 2 and all(line.role is Role.CHARGE for line in ends))


def test_the_gauge_line_is_found_by_reading_its_name(starter: StarterLayout) -> None:
    [line] = [line for line in starter.lines if line.role is Role.GAUGE]
    assert line.name.startswith("Gauge hose, manifold")
    assert line.name.endswith("to gauge")


@pytest.mark.parametrize(
    ("layout", "facts"),
    [
        (Layout.STORED_VACUUM, Facts(Fuel.PETROL, has_airflow_meter=True, throttle_vacuum=True, turbocharged=True)),
        (Layout.DIRECT_SIGNAL, Facts(Fuel.PETROL, has_airflow_meter=True, throttle_vacuum=True, turbocharged=True)),
        (
            Layout.ELECTRIC_DIVERTER,
            Facts(Fuel.PETROL, has_airflow_meter=False, throttle_vacuum=True, turbocharged=True),
        ),
        (Layout.TURBO_DIESEL, Facts(Fuel.DIESEL, has_airflow_meter=True, throttle_vacuum=False, turbocharged=True)),
        (
            Layout.NATURALLY_ASPIRATED,
            Facts(Fuel.PETROL, has_airflow_meter=True, throttle_vacuum=True, turbocharged=False),
        ),
    ],
)
def test_a_layout_says_what_triage_must_know(layout: Layout, facts: Facts, layout_folder: Path) -> None:
    assert load(layout, layout_folder).facts == facts


def test_an_airflow_meter_is_drawn_exactly_where_the_facts_say_there_is_one(starter: StarterLayout) -> None:
    kinds = {part.kind for part in starter.components}
    assert (ComponentKind.AIRFLOW_SENSOR in kinds) == starter.facts.has_airflow_meter
    assert (ComponentKind.TURBOCHARGER in kinds) == starter.facts.turbocharged


def test_the_boost_solenoid_of_a_petrol_turbo_has_its_three_hoses(starter: StarterLayout) -> None:
    if starter.facts.turbocharged and starter.facts.fuel is Fuel.PETROL:
        control = [line for line in starter.lines if line.role is Role.BOOST_CONTROL]
        assert len(control) == 3
        for line in control:
            assert "boost_solenoid" in (line.from_joint.component, line.to_joint.component)


def test_torque_guidance_is_the_published_value_for_the_band_and_none_without_one(starter: StarterLayout) -> None:
    for line in starter.lines:
        for joint in (line.from_joint, line.to_joint):
            if joint.hold is not Hold.WORM_DRIVE:
                assert joint.torque is None
            elif joint.band_mm == 12:
                # 3406E engine workshop manual, hose clamps: 12 mm band, new hose 4.5 ± 0.7 N·m, re-used 3.0 ± 0.5.
                assert joint.torque is not None
                assert (joint.torque.new_nm, joint.torque.new_tolerance_nm) == (4.5, 0.7)
                assert (joint.torque.reused_nm, joint.torque.reused_tolerance_nm) == (3.0, 0.5)


GOOD = """
name = "Short"
description = "Two parts and a hose."
[facts]
fuel = "petrol"
has_airflow_meter = false
throttle_vacuum = true
turbocharged = false
[[component]]
key = "manifold"
kind = "manifold"
name = "Manifold"
x = 15
y = 15
w = 90
h = 30
[[component]]
key = "gauge"
kind = "gauge"
name = "Gauge"
x = 15
y = 95
w = 90
h = 30
[[line]]
key = "gauge_hose"
name = "Gauge hose, manifold to gauge"
role = "gauge"
material = "rubber"
bore_mm = 4
length_mm = 900
from = { component = "manifold", hold = "push_on" }
to = { component = "gauge", hold = "worm_drive", band_mm = 8 }
route = [[60, 45], [60, 95]]
"""


def _read(tmp_path: Path, text: str) -> StarterLayout:
    (tmp_path / "direct-signal.toml").write_text(text, encoding="utf-8")
    return load(Layout.DIRECT_SIGNAL, tmp_path)


def test_a_short_layout_is_read_whole(tmp_path: Path) -> None:
    starter = _read(tmp_path, GOOD)
    assert [part.key for part in starter.components] == ["manifold", "gauge"]
    assert starter.lines[0].to_joint.torque is not None


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        ('fuel = "petrol"', 'fuel = "steam"', "facts: fuel: steam is not one of petrol, diesel"),
        ("turbocharged = false", 'turbocharged = "no"', "facts: turbocharged: must be true or false"),
        ("throttle_vacuum = true\n", "", "facts: throttle_vacuum: is missing"),
        ('key = "gauge"\n', 'key = "manifold"\n', "component manifold: this key is used twice"),
        ('key = "gauge"\n', 'key = "Boost gauge"\n', "component 2: key: not in lower case"),
        ("w = 90\nh = 30\n[[line]]", "w = 400\nh = 30\n[[line]]", "component gauge: x: puts the box past"),
        ("bore_mm = 4\n", "bore_mm = 0\n", "line gauge_hose: bore_mm: must be a number above zero"),
        ('role = "gauge"', 'role = "gage"', "line gauge_hose: role: gage is not one of"),
        ('"gauge", hold', '"meter", hold', "line gauge_hose to: component: names no component"),
        ('"gauge", hold', '"manifold", hold', "line gauge_hose: to: leads back"),
        ('hold = "push_on"', 'hold = "string"', "line gauge_hose from: hold: string is not one of"),
        ('hold = "push_on"', 'hold = "push_on", band_mm = 8', "line gauge_hose from: band_mm: only a worm-drive"),
        ("[60, 95]", "[60, 90]", "line gauge_hose: route: (60, 90) is not on the edge of gauge"),
        ("[60, 95]", "[60]", "line gauge_hose: route: [60] is not a point"),
        ("[[60, 45], [60, 95]]", "[]", "line gauge_hose: route: must be a list of two or more points"),
        ("length_mm", "lenght_mm", "line gauge_hose: length_mm: is missing"),
        ('name = "Short"', 'name = " "', "name: must be a text"),
        ('name = "Short"', 'nmae = "x"\nname = "Short"', "nmae: is not a key known here"),
        ("[facts]", "[facts", "cannot be read"),
        ("[facts]", "facts = 1\n[other]", "facts: must be a table"),
    ],
)
def test_a_bad_layout_file_is_refused_by_file_and_key(tmp_path: Path, was: str, now: str, said: str) -> None:
    assert GOOD.count(was) >= 1
    with pytest.raises(LayoutError) as refusal:
        _read(tmp_path, GOOD.replace(was, now, 1))
    assert str(refusal.value).startswith("direct-signal.toml: ")
    assert said in str(refusal.value)


def test_a_missing_layout_file_is_refused_by_name(tmp_path: Path) -> None:
    with pytest.raises(LayoutError, match=r"turbo-diesel\.toml: cannot be read"):
        load(Layout.TURBO_DIESEL, tmp_path)
