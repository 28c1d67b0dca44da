"""Boxes to fill in, as the eye has them."""

from playwright.sync_api import expect

from tests.browser.conftest import Phone


def test_a_box_that_was_left_wrong_is_marked_at_its_edge(phone: Phone, served_demo: str) -> None:
    phone.page.goto(f"{served_demo}/cars/new")
    phone.page.locator("main form button").last.tap()
    expect(phone.page.locator("input[name=name]")).to_have_css("border-top-style", "dashed")


def test_two_boxes_side_by_side_keep_to_their_own_halves(phone: Phone, served_demo: str) -> None:
    phone.page.goto(f"{served_demo}/cars/tern/stopgaps/new")
    left = phone.page.locator("input[name=fitted_at]").bounding_box()
    right = phone.page.locator("input[name=fitted_odometer]").bounding_box()
    assert left
    assert right
    assert left["y"] < right["y"] + right["height"]
    assert left["x"] + left["width"] <= right["x"]
