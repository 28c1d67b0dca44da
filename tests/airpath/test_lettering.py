"""Names are broken to fit, and a name that cannot fit is cut, not spilled."""

from hypothesis import given
from hypothesis import strategies as st

from app.airpath.geometry import Box
from app.airpath.lettering import PADDING, text_width, wrap


def test_a_name_is_broken_between_its_words() -> None:
    assert [text for text, _ in wrap("Changeover solenoid", Box(0, 0, 76, 40))] == ["Changeover", "solenoid"]


def test_a_name_that_fits_stays_on_one_line_in_the_middle() -> None:
    [(text, at)] = wrap("Inlet manifold", Box(15, 100, 360, 30))
    assert (text, at.x, at.y) == ("Inlet manifold", 195, 115)


def test_a_word_too_long_is_cut_with_an_ellipsis() -> None:
    [(text, _)] = wrap("Turbocharger", Box(0, 0, 50, 30))
    assert text.startswith("Turb")
    assert text.endswith("…")


def test_a_box_too_small_for_any_text_has_none() -> None:
    assert wrap("Tee", Box(0, 0, 16, 16)) == ()


@given(st.text(min_size=1, max_size=60), st.floats(22, 360), st.floats(20, 80))
def test_no_line_of_a_label_is_wider_than_its_box(name: str, w: float, h: float) -> None:
    box = Box(0, 0, w, h)
    for text, at in wrap(name, box):
        assert text_width(text) <= w - 2 * PADDING
        assert 0 < at.y < h
