"""What the terminal shows: the addresses, the fingerprint, and a code that holds just what it says."""

from ipaddress import ip_address

import pytest
import segno

from app.phone.authority import Authority
from app.phone.code import half_blocks, svg
from app.phone.names import Place
from app.phone.terminal import link_shown, on_the_network

PLACE = Place("tern.local", 8443, 8444)
HOME = ip_address("192.168.1.20")
LIGHT = {"█": (True, True), "▀": (True, False), "▄": (False, True), " ": (False, False)}


def modules(text: str) -> list[list[bool]]:
    """The dark modules of a code drawn in half blocks, as a camera would see it: blocks are light."""
    rows: list[list[bool]] = []
    for line in text.splitlines():
        rows.append([not LIGHT[one][0] for one in line])
        rows.append([not LIGHT[one][1] for one in line])
    return rows


@pytest.mark.parametrize("text", ["https://tern.local:8443/pair/" + "x" * 43, "http://192.168.1.20:8444/", "a"])
def test_the_half_blocks_are_the_code_with_its_quiet_zone(text: str) -> None:
    wanted = [[bool(one) for one in row] for row in segno.make(text, error="l", micro=False).matrix]
    drawn = modules(half_blocks(text, coloured=False))
    size = len(wanted)
    assert [row[4 : 4 + size] for row in drawn[4 : 4 + size]] == wanted
    around = [
        one for y, row in enumerate(drawn) for x, one in enumerate(row) if not (4 <= y < 4 + size and 4 <= x < 4 + size)
    ]
    assert not any(around)


def test_in_colour_every_line_ends_its_colours() -> None:
    for line in half_blocks("https://tern.local", coloured=True).splitlines():
        assert line.startswith("\x1b[38;5;231;48;5;16m")
        assert line.endswith("\x1b[0m")


def test_the_svg_is_dark_on_light_without_style() -> None:
    drawn = svg("https://tern.local:8443/")
    assert drawn.startswith("<svg")
    assert 'fill="#fff"' in drawn
    assert 'stroke="#000"' in drawn
    assert "style" not in drawn
    assert "script" not in drawn


def test_the_network_greeting_names_address_helper_page_and_fingerprint(authority: Authority) -> None:
    said = on_the_network(authority, PLACE, [HOME], None, coloured=False)
    assert "https://tern.local:8443/" in said
    assert "https://192.168.1.20:8443/" in said
    assert "http://192.168.1.20:8444/" in said
    assert half_blocks("http://192.168.1.20:8444/", coloured=False) in said
    assert authority.fingerprint.replace(" ", "") in said.replace(" ", "").replace("\n", "")
    assert "witnessmark link" in said


def test_the_greeting_fits_a_terminal_of_80_columns(authority: Authority) -> None:
    trouble = "tern.local can't be announced on this network (No such device). " * 2
    said = on_the_network(authority, PLACE, [HOME], trouble, coloured=False)
    code = half_blocks("https://witnessmark-7k3f.local:8443/pair/" + "x" * 43, coloured=False)
    assert max(map(len, f"{said}\n{code}".splitlines())) <= 80


def test_why_the_name_is_not_announced_is_said(authority: Authority) -> None:
    assert "Multicast is off." in on_the_network(authority, PLACE, [HOME], "Multicast is off.", coloured=False)


def test_without_a_network_it_says_so(authority: Authority) -> None:
    assert "no address on a home network" in on_the_network(authority, PLACE, [], None, coloured=False)


def test_with_a_certificate_of_ones_own_there_is_no_helper_page() -> None:
    said = on_the_network(None, PLACE, [HOME], None, coloured=False)
    assert "fingerprint" not in said
    assert "8444" not in said


def test_a_link_is_shown_as_code_and_as_text() -> None:
    link = "https://tern.local:8443/pair/abc"
    said = link_shown(link, coloured=False)
    assert half_blocks(link, coloured=False) in said
    assert said.endswith(link)
    assert "once, for five minutes" in said
