"""The shopping list: lengths by bore and material, clamps by size and kind."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.airpath.shopping import Clamps, Line, clamps, hoses, outside_mm
from app.airpath.words import Hold, Material

WORM, T_BOLT, PUSH_ON = Hold.WORM_DRIVE, Hold.T_BOLT, Hold.PUSH_ON

lines = st.lists(
    st.builds(
        Line,
        st.text("abc", min_size=1),
        st.none() | st.sampled_from(Material),
        st.none() | st.sampled_from([4.0, 10.0, 63.0]),
        st.none() | st.floats(10, 2000),
        st.none() | st.sampled_from([3.0, 5.0]),
        st.tuples(st.none() | st.sampled_from(Hold), st.none() | st.sampled_from(Hold)),
    )
)


def _line(name: str, bore: float, length: float | None, *holds: Hold | None, wall: float | None = None) -> Line:
    return Line(name, Material.SILICONE, bore, length, wall, holds)


def test_lengths_of_one_bore_and_material_add_up_with_what_is_cut_off() -> None:
    (found,) = hoses([_line("a", 4.0, 300), _line("b", 4.0, 700)])
    assert (found.pieces, found.net_mm, found.buy_mm) == (2, 1000, 1100)


def test_a_piece_is_not_rounded_up_for_a_hair() -> None:
    assert hoses([_line("a", 4.0, 300)])[0].buy_mm == 330


def test_a_line_nobody_measured_is_named_and_not_guessed() -> None:
    (found,) = hoses([_line("a", 4.0, 300), _line("b", 4.0, None)], 0)
    assert (found.pieces, found.buy_mm, found.unmeasured) == (2, 300, ("b",))


def test_a_clamp_s_size_is_bore_and_twice_the_wall() -> None:
    found = clamps([_line("a", 63.0, 90, T_BOLT, T_BOLT, wall=5.0), _line("b", 63.0, 90, WORM, PUSH_ON)])
    assert found == [
        Clamps(T_BOLT, 73.0, assumed=False, count=2),
        Clamps(WORM, 72.0, assumed=True, count=1),
        Clamps(PUSH_ON, None, assumed=False, count=1),
    ]
    assert [one.to_buy for one in found] == [True, True, False]


@pytest.mark.parametrize(("bore", "outside"), [(4.0, 9.0), (19.0, 26.0), (63.0, 72.0), (None, None)])
def test_a_wall_nobody_measured_is_a_usual_one(bore: float | None, outside: float | None) -> None:
    assert outside_mm(bore, None)[0] == outside


@given(lines, st.floats(0, 50))
def test_nothing_is_lost_and_nothing_is_bought_too_short(chosen: list[Line], allowance: float) -> None:
    found = hoses(chosen, allowance)
    assert sum(hose.pieces for hose in found) == len(chosen)
    assert sum(hose.net_mm for hose in found) == pytest.approx(sum(line.length_mm or 0 for line in chosen))
    for hose in found:
        least = hose.net_mm * (1 + allowance / 100)
        assert least - 0.01 <= hose.buy_mm < least + 10.01
    assert sum(one.count for one in clamps(chosen)) == 2 * len(chosen)
