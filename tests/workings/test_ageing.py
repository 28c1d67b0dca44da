"""Heat and age: the figures of Arrhenius's formula."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.workings.ageing import ImpossibleHeat, life_ratio

WARM = st.floats(-40, 200)


@pytest.mark.parametrize(("cooler", "hotter", "ratio"), [(90, 100, 2.03408), (80, 90, 2.11755)])
def test_ten_degrees_halve_a_life(cooler: float, hotter: float, ratio: float) -> None:
    # the form of ISO 11346:2023 (its scope was read), activation energy 80 kJ/mol, an assumption
    assert life_ratio(cooler, hotter, 80.0) == pytest.approx(ratio, abs=1e-5)


@given(WARM, WARM, WARM)
def test_steps_multiply(a: float, b: float, c: float) -> None:
    assert life_ratio(a, b) * life_ratio(b, c) == pytest.approx(life_ratio(a, c))


def test_what_can_not_be_is_refused() -> None:
    with pytest.raises(ImpossibleHeat, match="Nothing is at -300 °C"):
        life_ratio(20.0, -300.0)
