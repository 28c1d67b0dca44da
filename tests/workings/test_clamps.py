"""Worm-drive clamps, from two makers' service tables; guidance, not one truth."""

import pytest

from app.workings.clamps import WORM_DRIVE, HoseState, ImpossibleClamp, published
from app.workings.units import TorqueUnit, convert

POUND_INCH, NEWTON_METRE = TorqueUnit.POUND_INCH, TorqueUnit.NEWTON_METRE


def test_a_new_hose_takes_what_two_makers_print_for_it() -> None:
    # Two service tables: 4.5 ± 0.7 N·m = 40 ± 6 lbf·in at 12 mm, 4.5 ± 0.5 = 40 ± 5 at 13.5 mm.
    assert convert(40, POUND_INCH, NEWTON_METRE) == pytest.approx(4.519, abs=0.001)
    assert [(one.torque_nm, one.tolerance_nm) for one in published(12.7, "new")] == [(4.5, 0.7), (4.5, 0.5)]


def test_a_hose_that_was_clamped_before_takes_less() -> None:
    # The same two tables: 3.0 ± 0.5 N·m, printed as 27 ± 4 and as 25 ± 5 lbf·in.
    assert convert(27, POUND_INCH, NEWTON_METRE) == pytest.approx(3.0506, abs=0.001)
    assert [(one.torque_nm, one.tolerance_nm) for one in published(12.7, "reused")] == [(3.0, 0.5), (3.0, 0.5)]
    for band in WORM_DRIVE:
        assert published(band, "reused")[0].torque_nm < published(band, "new")[0].torque_nm


@pytest.mark.parametrize(("pound_inches", "newton_metres"), [(50, 5.65), (60, 6.78)])
def test_a_test_torque_of_the_standard_is_no_figure_to_tighten_to(pound_inches: float, newton_metres: float) -> None:
    # SAE J1508, Type F, durability, as quoted by a clamp maker: carbon and stainless screw.
    assert convert(pound_inches, POUND_INCH, NEWTON_METRE) == pytest.approx(newton_metres, abs=0.005)
    assert newton_metres not in {guide.new_nm for guide in WORM_DRIVE.values()}


@pytest.mark.parametrize(
    ("band", "hose", "printed", "pound_inches"),
    # both tables: N·m, and the same as the maker prints it in lbf·in
    [
        (7.5, "new", (1.4, 0.3), 12),
        (7.5, "reused", (0.8, 0.3), 7),
        (8, "new", (0.9, 0.2), 8),
        (8, "reused", (0.7, 0.2), 6),
        (14, "new", (7.5, 1.0), 66),
        (14, "reused", (4.5, 0.7), 40),
        (16, "new", (7.5, 0.5), 65),
        (16, "reused", (4.5, 0.5), 40),
    ],
)
def test_the_other_rows_of_the_tables(
    band: float, hose: HoseState, printed: tuple[float, float], pound_inches: float
) -> None:
    first = published(band, hose)[0]
    assert (first.torque_nm, first.tolerance_nm) == printed
    # Each printed pair agrees to its rounding.
    assert convert(pound_inches, POUND_INCH, NEWTON_METRE) == pytest.approx(printed[0], abs=0.16)


def test_narrow_bands_show_both_tables_since_they_disagree() -> None:
    assert [one.torque_nm for one in published(8, "new")] == [0.9, 1.4]


def test_a_width_no_table_has_gets_no_figure() -> None:
    assert published(10, "new") == []
    with pytest.raises(ImpossibleClamp, match="above zero"):
        published(0, "new")
