"""Building the air path from a layout: every line has its place, and no air is made or lost."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.airpath.words import Layout
from tests.bench import constants as c
from tests.bench.judging import faults, starter
from tests.bench.motion import Vector
from tests.bench.plant import Plant, plant_of
from tests.bench.setting import Mode, Setting
from tests.bench.sites import UNSEEN, site_of
from tests.bench.stretch import rest, run

LAYOUTS = list(Layout)
SETTINGS = {
    "idling": Setting(Mode.IDLING, 1.0),
    "pulling": Setting(Mode.DRIVEN, 1.0, c.OPEN_THROTTLE_M2, 3000.0, boosting=True),
    "standing": Setting(Mode.STANDING, 60.0),
}


def held_g(plant: Plant, state: Vector) -> float:
    """All the air in the plant's volumes, g."""
    return 1e3 * sum(float(kpa) / plant.kpa_per_kg(node) for node, kpa in zip(plant.nodes, state, strict=False))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_line_of_every_layout_has_its_place(layout: Layout) -> None:
    for line in starter(layout).lines:
        assert line.key in UNSEEN or site_of(layout, line.key) is not None


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_fault_can_be_built_and_changes_the_plant(layout: Layout) -> None:
    sound = plant_of(starter(layout))
    for fault in faults(layout):
        plant = plant_of(starter(layout), fault)
        assert (plant.ways, plant.switches) != (sound.ways, sound.switches), fault.name


def test_no_two_faults_share_a_name() -> None:
    for layout in LAYOUTS:
        names = [fault.name for fault in faults(layout)]
        assert len(names) == len(set(names))


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_air_is_neither_made_nor_lost(data: st.DataObject) -> None:
    """What the volumes gained is what came in from the open air, whatever is broken and whatever the engine does."""
    layout = data.draw(st.sampled_from(LAYOUTS))
    fault = data.draw(st.sampled_from(faults(layout)))
    plant = plant_of(starter(layout), fault)
    done = run(plant, SETTINGS[data.draw(st.sampled_from(sorted(SETTINGS)))], rest(plant), 0.5)
    gained = held_g(plant, done.last) - held_g(plant, done.states[:, 0])
    assert gained == pytest.approx(float(done.moving("inflow_g")[-1]), abs=1e-3 * max(held_g(plant, done.last), 1.0))
