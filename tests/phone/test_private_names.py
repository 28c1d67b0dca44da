"""What counts as private is what the RFCs reserve, and nothing more."""

from ipaddress import IPv4Address, IPv6Address, ip_address

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.phone.private_names import is_loopback, is_private, own_addresses, read_address

# First and last address of each block, from the RFCs themselves.
INSIDE = [
    "10.0.0.0 10.255.255.255 172.16.0.0 172.31.255.255 192.168.0.0 192.168.255.255",  # RFC 1918 section 3
    "169.254.0.0 169.254.255.255",  # RFC 3927 section 2.1
    "127.0.0.0 127.255.255.255 ::1",  # RFC 1122 section 3.2.1.3, RFC 4291 section 2.5.3
    "fc00:: fdff:ffff:ffff:ffff:ffff:ffff:ffff:ffff",  # RFC 4193 section 3.1
    "fe80:: febf:ffff:ffff:ffff:ffff:ffff:ffff:ffff",  # RFC 4291 section 2.5.6
]
OUTSIDE = (
    "9.255.255.255 11.0.0.0 172.15.255.255 172.32.0.0 192.167.255.255 192.169.0.0 169.253.255.255 169.255.0.0 "
    "126.255.255.255 128.0.0.0 100.64.0.1 0.0.0.0 :: ::2 fbff:: fe00:: fe7f:: fec0:: 2001:db8::1 ff02::fb"
)


@pytest.mark.parametrize("text", " ".join(INSIDE).split())
def test_both_ends_of_every_private_block_are_private(text: str) -> None:
    assert is_private(ip_address(text))


@pytest.mark.parametrize("text", OUTSIDE.split())
def test_the_neighbours_of_every_private_block_are_not(text: str) -> None:
    assert not is_private(ip_address(text))


@given(st.integers(min_value=0, max_value=2**32 - 1).map(IPv4Address))
@example(IPv4Address("192.168.1.1"))
@example(IPv4Address("8.8.8.8"))
def test_an_ipv4_address_written_as_ipv6_counts_as_itself(address: IPv4Address) -> None:
    assert is_private(IPv6Address(f"::ffff:{address}")) == is_private(address)


@pytest.mark.parametrize("peer", ["127.0.0.1", "127.9.9.9", "::1", "::ffff:127.0.0.1"])
def test_this_machine_is_known_however_it_is_written(peer: str) -> None:
    assert is_loopback(peer)


@pytest.mark.parametrize("peer", ["", "testclient", "localhost", "192.168.1.20", "fe80::1%eth0", "127.0.0.1.example"])
def test_nothing_else_passes_for_this_machine(peer: str) -> None:
    assert not is_loopback(peer)


def test_an_interface_is_no_part_of_an_address() -> None:
    assert read_address("fe80::1%eth0") == IPv6Address("fe80::1")


def test_own_addresses_are_private_and_reachable() -> None:
    for one in own_addresses():
        assert is_private(one)
        assert not one.is_loopback
