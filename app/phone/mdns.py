"""Multicast DNS (RFC 6762): the garage says on the network which addresses its name stands for.

Nothing depends on it but the name. Where it can't be had, the garage is reached by its address, and the terminal says
so; the certificate covers both.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field

from zeroconf import AddressResolver as Question  # type: ignore[attr-defined]  # offered, but not in its __all__
from zeroconf import Error, InterfaceChoice, IPVersion, NonUniqueNameException, ServiceInfo
from zeroconf.asyncio import AsyncZeroconf

from app.phone.names import Place
from app.phone.private_names import Address, read_address

_SERVICE = "_https._tcp.local."
#: How long another machine has to object to a name: three probes a quarter of a second apart (RFC 6762 section 8.1),
#: and as much again for a network that is slow.
_OBJECTIONS_MS = 1500


@dataclass(slots=True)
class Announcement:
    """The name as announced. `trouble` is None while it is; otherwise a sentence for the terminal."""

    interfaces: Sequence[str] | InterfaceChoice = InterfaceChoice.All
    trouble: str | None = None
    _speaker: AsyncZeroconf | None = field(default=None, init=False)
    _said: ServiceInfo | None = field(default=None, init=False)

    async def start(self, place: Place, addresses: Sequence[Address]) -> None:
        """Ask whether another machine has the name, and announce it if not. Never raises for want of a network."""
        if not place.announced:
            self.trouble = (
                f"{place.name} is not announced: names outside .local are for your own network's DNS to answer."
            )
            return
        try:
            self._speaker = AsyncZeroconf(interfaces=self.interfaces, ip_version=IPVersion.V4Only)
            await self._claim(self._speaker, place, addresses)
        except (OSError, Error) as error:
            await self.stop()
            why = (error.strerror if isinstance(error, OSError) else None) or error
            self.trouble = (
                f"{place.name} can't be announced on this network ({why}). "
                "Phones reach the garage by its address instead."
            )

    async def renew(self, addresses: Sequence[Address]) -> None:
        """Say the name again, for the addresses this machine has now."""
        if self._speaker is not None and self._said is not None:
            self._said.addresses = [one.packed for one in addresses]
            await (await self._speaker.async_update_service(self._said))

    async def stop(self) -> None:
        """Take the name back, so that nobody looks for the garage where it is not."""
        speaker, self._speaker, self._said = self._speaker, None, None
        if speaker is not None:
            with suppress(OSError, Error):  # the network may be what has gone
                await speaker.async_unregister_all_services()
            await speaker.async_close()

    async def _claim(self, speaker: AsyncZeroconf, place: Place, addresses: Sequence[Address]) -> None:
        holders = await _holders(speaker, place.name)
        if strangers := [str(one) for one in holders if one not in addresses]:
            await self._give_way(place, strangers)
            return
        said = ServiceInfo(
            _SERVICE,
            f"{place.name.removesuffix('.local')}.{_SERVICE}",
            port=place.port,
            addresses=[one.packed for one in addresses],
            server=f"{place.name}.",
        )
        try:
            await (await speaker.async_register_service(said))
        except NonUniqueNameException:
            await self._give_way(place, [])
            return
        self._said = said

    async def _give_way(self, place: Place, holders: Sequence[str]) -> None:
        await self.stop()
        where = f" ({', '.join(holders)})" if holders else ""
        self.trouble = (
            f"Another machine on this network already answers to {place.name}{where}. Stop that one, or give this "
            "garage a name of its own with --name; phones paired under the old name then have to be paired anew."
        )


async def _holders(speaker: AsyncZeroconf, name: str) -> list[Address]:
    question = Question(f"{name}.")
    await speaker.zeroconf.async_wait_for_start()
    await question.async_request(speaker.zeroconf, _OBJECTIONS_MS)
    return [found for one in question.parsed_addresses() if (found := read_address(one)) is not None]
