"""The name is announced for real, on the loopback interface, and heard by another program's ears."""

import asyncio
import gc
import warnings
from collections.abc import Coroutine, Iterator
from ipaddress import ip_address
from typing import Any

import pytest
from zeroconf import AddressResolver as Question  # type: ignore[attr-defined]  # offered, but not in its __all__
from zeroconf import IPVersion, ServiceInfo
from zeroconf.asyncio import AsyncZeroconf

from app.phone.mdns import Announcement
from app.phone.names import Place

from .conftest import in_a_loop

LOOP = ["127.0.0.1"]
HOME, MOVED = ip_address("192.168.1.20"), ip_address("192.168.1.77")


@pytest.fixture(autouse=True)
def _nothing_left_to_collect() -> Iterator[None]:
    """zeroconf leaves a socket open where an interface refuses multicast; it is not to come up in a later test."""
    yield
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)
        gc.collect()


def run(steps: Coroutine[Any, Any, None]) -> None:
    """On the loopback interface, with a limit; skipped where the machine has no multicast at all."""

    async def limited() -> None:
        try:
            probe = AsyncZeroconf(interfaces=LOOP, ip_version=IPVersion.V4Only)
        except OSError as error:
            steps.close()
            pytest.skip(f"no multicast on this machine: {error}")
        await probe.async_close()
        await asyncio.wait_for(steps, 30)

    in_a_loop(limited())


async def heard(name: str, wanted: str | None = None) -> list[str]:
    """What another program on the network hears the name stands for; asks again until it hears `wanted`."""
    found: list[str] = []
    for _ in range(5):
        ears = AsyncZeroconf(interfaces=LOOP, ip_version=IPVersion.V4Only)
        try:
            await ears.zeroconf.async_wait_for_start()
            question = Question(f"{name}.")
            await question.async_request(ears.zeroconf, 1500)
            found = question.parsed_addresses()
        finally:
            await ears.async_close()
        if wanted is None or wanted in found:
            break
    return found


def test_the_name_is_heard_and_follows_the_machine_to_another_address() -> None:
    async def steps() -> None:
        place = Place("witnessmark-t1.local", 8443, 8444)
        said = Announcement(interfaces=LOOP)
        await said.start(place, [HOME])
        try:
            assert said.trouble is None
            assert await heard(place.name, str(HOME)) == [str(HOME)]
            await said.renew([MOVED])
            assert str(MOVED) in await heard(place.name, str(MOVED))
        finally:
            await said.stop()

    run(steps())


def test_it_is_also_listed_as_a_web_service_on_its_port() -> None:
    async def steps() -> None:
        place = Place("witnessmark-t2.local", 8443, 8444)
        said = Announcement(interfaces=LOOP)
        await said.start(place, [HOME])
        ears = AsyncZeroconf(interfaces=LOOP, ip_version=IPVersion.V4Only)
        try:
            found = await ears.async_get_service_info("_https._tcp.local.", "witnessmark-t2._https._tcp.local.", 5000)
            assert found is not None
            assert (found.port, found.server) == (8443, "witnessmark-t2.local.")
        finally:
            await ears.async_close()
            await said.stop()

    run(steps())


def test_a_name_another_machine_has_is_left_to_it_and_said_plainly() -> None:
    async def steps() -> None:
        place = Place("witnessmark-t3.local", 8443, 8444)
        other = AsyncZeroconf(interfaces=LOOP, ip_version=IPVersion.V4Only)
        await other.zeroconf.async_wait_for_start()
        theirs = ServiceInfo(
            "_ssh._tcp.local.", "other._ssh._tcp.local.", port=22, addresses=[MOVED.packed], server=f"{place.name}."
        )
        await (await other.async_register_service(theirs))
        said = Announcement(interfaces=LOOP)
        try:
            await said.start(place, [HOME])
            assert said.trouble is not None
            assert said.trouble.startswith(f"Another machine on this network already answers to {place.name} ({MOVED})")
            assert "--name" in said.trouble
            assert await heard(place.name, str(MOVED)) == [str(MOVED)]
        finally:
            await said.stop()
            await other.async_close()

    run(steps())


def test_the_same_service_announced_twice_is_a_clash_too() -> None:
    async def steps() -> None:
        place = Place("witnessmark-t4.local", 8443, 8444)
        first, second = Announcement(interfaces=LOOP), Announcement(interfaces=LOOP)
        await first.start(place, [HOME])
        try:
            await second.start(place, [HOME])
            assert second.trouble is not None
            assert "already answers" in second.trouble
        finally:
            await second.stop()
            await first.stop()

    run(steps())


# The library leaves the socket it had opened before the one that failed to the garbage collector.
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_where_multicast_is_forbidden_the_address_still_serves_and_the_terminal_says_so() -> None:
    async def steps() -> None:
        said = Announcement(interfaces=["203.0.113.9"])  # no interface of this machine: opening it fails
        await said.start(Place("witnessmark-t5.local", 8443, 8444), [HOME])
        assert said.trouble is not None
        assert "can't be announced on this network" in said.trouble
        assert "by its address instead" in said.trouble
        await said.renew([MOVED])
        await said.stop()

    in_a_loop(steps())


def test_a_name_outside_local_is_left_to_the_homes_own_dns() -> None:
    async def steps() -> None:
        said = Announcement(interfaces=LOOP)
        await said.start(Place("garage.home.arpa", 8443, 8444), [HOME])
        assert said.trouble is not None
        assert "your own network's DNS" in said.trouble
        await said.stop()

    in_a_loop(steps())
