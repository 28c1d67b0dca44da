"""The garage's name and ports are chosen once and kept."""

import json
import socket
import stat
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.phone.names import PORTS, Place, PlaceError, kept, listen, settle, whole_name


def test_a_name_is_made_once_and_kept(folder: Path) -> None:
    first = settle(folder)
    assert settle(folder) == first == kept(folder)
    assert first.name.startswith("witnessmark-")
    assert first.name.endswith(".local")
    assert first.port != first.helper_port
    assert {first.port, first.helper_port} <= set(PORTS)


def test_two_garages_get_two_names(tmp_path: Path) -> None:
    names = {settle(tmp_path / str(n)).name for n in range(20)}
    assert len(names) > 15  # 27^4 names: twenty of them all but never clash even once


def test_what_is_given_wins_and_is_kept(folder: Path) -> None:
    settle(folder)
    given_now = settle(folder, name="tern", port=9443, helper_port=9080)
    assert given_now == Place("tern.local", 9443, 9080)
    assert settle(folder) == given_now
    assert settle(folder, name="heron") == Place("heron.local", 9443, 9080)


def test_the_file_is_private(folder: Path) -> None:
    settle(folder)
    assert stat.S_IMODE((folder / "place.json").stat().st_mode) == 0o600


def test_a_spoilt_file_is_not_quietly_replaced(folder: Path) -> None:
    settle(folder)
    (folder / "place.json").write_text('{"name": "tern.local"}')
    with pytest.raises(PlaceError, match="from a backup"):
        settle(folder)
    assert json.loads((folder / "place.json").read_text()) == {"name": "tern.local"}


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("tern", "tern.local"),
        ("Tern.Local.", "tern.local"),
        ("garage.home.arpa", "garage.home.arpa"),
        ("bay-2.garage.internal", "bay-2.garage.internal"),
    ],
)
def test_a_short_name_is_made_whole(text: str, name: str) -> None:
    assert whole_name(text) == name


@pytest.mark.parametrize(
    "text",
    [
        "",
        "tern.lan",
        "tern.example",
        "home.arpa",
        "-tern",
        "tern-",
        "te rn",
        "térn",
        "a" * 64,
        "tern..local",
        "*.local",
    ],
)
def test_a_name_somebody_could_own_is_refused(text: str) -> None:
    with pytest.raises(PlaceError, match="nobody can own"):
        whole_name(text)


def test_a_certificate_of_ones_own_may_name_it_anything_but_ours_may_not(folder: Path) -> None:
    assert settle(folder, name="garage.example", public=True).name == "garage.example"
    assert settle(folder, public=True).origin.startswith("https://garage.example:")
    with pytest.raises(PlaceError, match="nobody can own"):
        settle(folder)
    with pytest.raises(PlaceError, match="Use letters"):
        settle(folder, name="garage example", public=True)


@given(st.text(max_size=80))
def test_no_text_makes_a_name_that_is_not_private(text: str) -> None:
    try:
        name = whole_name(text)
    except PlaceError:
        return
    assert name.endswith((".local", ".localhost", ".home.arpa", ".internal"))
    assert name.isascii()


def test_one_port_can_not_do_both(folder: Path) -> None:
    with pytest.raises(PlaceError, match="two different ports"):
        settle(folder, port=9443, helper_port=9443)


def test_a_taken_port_is_said_plainly_and_not_swapped_for_another() -> None:
    with closing(socket.socket()) as other:
        other.bind(("", 0))
        other.listen(1)
        port = other.getsockname()[1]
        with pytest.raises(PlaceError, match=f"Port {port} is taken by another program"):
            listen(port)


def test_a_fresh_garage_steps_round_ports_that_are_taken(folder: Path) -> None:
    with closing(socket.socket()) as other:
        try:
            other.bind(("", PORTS[0]))
        except OSError:
            pass  # somebody has it already, which serves as well
        else:
            other.listen(1)
        assert PORTS[0] not in {settle(folder).port, settle(folder).helper_port}


def test_only_local_names_are_announced() -> None:
    assert Place("tern.local", 8443, 8444).announced
    assert not Place("garage.home.arpa", 8443, 8444).announced
