"""Which names and addresses can only ever mean a machine in somebody's own house.

Names: `local` (RFC 6762, multicast DNS), `localhost` (RFC 6761), `home.arpa` (RFC 8375) and `internal` (reserved by
ICANN resolution 2024.07.29.06). Not `lan`: many routers hand it out, but nobody has reserved it, so it may one day be
sold as a public name. Addresses: RFC 1918 (10/8, 172.16/12, 192.168/16), RFC 3927 (169.254/16), RFC 1122 (127/8),
RFC 4291 (::1, fe80::/10) and RFC 4193 (fc00::/7).
"""

from functools import lru_cache
from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network, ip_address, ip_network

import ifaddr

Address = IPv4Address | IPv6Address
Network = IPv4Network | IPv6Network

PRIVATE_NAMES = ("local", "localhost", "home.arpa", "internal")
PRIVATE_NETWORKS: tuple[Network, ...] = tuple(
    ip_network(one)
    for one in (
        "10.0.0.0/8",
        "172.16.0.0/12",
        "192.168.0.0/16",
        "169.254.0.0/16",
        "127.0.0.0/8",
        "::1/128",
        "fc00::/7",
        "fe80::/10",
    )
)
LOOPBACK: tuple[Address, ...] = (IPv4Address("127.0.0.1"), IPv6Address("::1"))


def is_private(address: Address) -> bool:
    """Whether an address lies in one of PRIVATE_NETWORKS; an IPv4 address written as IPv6 counts as IPv4."""
    plain = _unmapped(address)
    return any(plain in network for network in PRIVATE_NETWORKS if network.version == plain.version)


@lru_cache(maxsize=256)  # every request asks it of its peer
def is_loopback(peer: str) -> bool:
    """Whether a peer, as text, is this very machine. What is no address is not."""
    address = read_address(peer)
    return address is not None and address.is_loopback


def read_address(text: str) -> Address | None:
    """An address from text, without its interface ("%eth0"); None for what is none."""
    try:
        return _unmapped(ip_address(text.partition("%")[0]))
    except ValueError:
        return None


def own_addresses() -> tuple[Address, ...]:
    """This machine's private addresses by which others on the network reach it, the likeliest first.

    Left out: loopback, and IPv6 link-local addresses (a browser's address bar has no place for the interface they
    need). Order: IPv4 of RFC 1918, IPv6 unique local, then self-assigned 169.254/16.
    """
    found = {
        address
        for adapter in ifaddr.get_adapters()
        for one in adapter.ips
        if (address := read_address(one.ip if isinstance(one.ip, str) else one.ip[0])) is not None
    }
    return tuple(sorted((one for one in found if _reachable(one)), key=_likelihood))


def _reachable(address: Address) -> bool:
    return is_private(address) and not address.is_loopback and not (address.version == 6 and address.is_link_local)


def _likelihood(address: Address) -> tuple[bool, bool, int]:
    return address.is_link_local, address.version == 6, int(address)


def _unmapped(address: Address) -> Address:
    return (address.ipv4_mapped or address) if isinstance(address, IPv6Address) else address
