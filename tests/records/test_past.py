from hypothesis import given
from hypothesis import strategies as st

from app.airpath.readings import ReadingKind
from app.records.past import HEIGHT, WIDTH, picture
from app.records.shown import Scale
from app.workings.spread import Baseline

VACUUM = Scale(ReadingKind.IDLE_VACUUM, "inHg", "vacuum", 101.325)
PLAIN = Scale(ReadingKind.FREE, "mm")
_INHG = 3.386389  # kPa: NIST SP 811 (2008) App. B.8


def _kpa(*inches_of_vacuum: float) -> tuple[float, ...]:
    return tuple(101.325 - inches * _INHG for inches in inches_of_vacuum)


def test_the_label_says_in_words_what_the_picture_shows() -> None:
    usual = Baseline(_kpa(19.5)[0], 0.3 * _INHG, 12)
    drawn = picture("Idle vacuum", _kpa(19.4, 19.5, 19.6, 19.4, 19.5, 19.5, 19.2, 17.8), VACUUM, usual)
    assert drawn.label == "Idle vacuum: last 8 readings, latest 17.8 inHg, below the usual band 18.9 to 20.1"
    assert drawn.now is not None
    assert drawn.now.outside


def test_more_vacuum_is_drawn_higher() -> None:
    drawn = picture("Idle vacuum", _kpa(19.0, 20.0), VACUUM, None)
    first, last = (float(point.split(",")[1]) for point in drawn.points.split())
    assert last < first  # y runs downwards


def test_without_a_baseline_there_is_no_band_and_nothing_is_outside() -> None:
    drawn = picture("Oil", (3.0, 90.0), PLAIN, None)
    assert drawn.band is None
    assert drawn.now is not None
    assert not drawn.now.outside
    assert drawn.label == "Oil: last 2 readings, latest 90 mm"


def test_one_reading_is_a_dot() -> None:
    drawn = picture("Oil", (3.0,), PLAIN, None)
    assert drawn.points == ""
    assert drawn.now is not None
    assert drawn.label == "Oil: one reading, latest 3 mm"


def test_no_reading_is_an_empty_box() -> None:
    assert picture("Oil", (), PLAIN, None) == picture("Oil", (), PLAIN, Baseline(1.0, 1.0, 0))


@given(
    st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=12).map(tuple),
    st.none() | st.builds(Baseline, st.floats(-1e6, 1e6), st.floats(1e-3, 1e4), st.integers(0, 40)),
)
def test_everything_stays_inside_the_box(past: tuple[float, ...], usual: Baseline | None) -> None:
    drawn = picture("Oil", past, PLAIN, usual)
    assert drawn.now is not None
    xys = [tuple(map(float, point.split(","))) for point in drawn.points.split()] + [(drawn.now.x, drawn.now.y)]
    assert all(0 <= x <= WIDTH and 0 <= y <= HEIGHT for x, y in xys)
    if drawn.band:
        assert drawn.band.y >= 0
        assert drawn.band.height >= 0
        assert drawn.band.y + drawn.band.height <= HEIGHT
