"""Pairing: a link good once becomes a device that may come in."""

import logging
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Literal

from app.phone.keyring import Keyring
from app.phone.patience import Patience
from app.records import devices
from app.records.devices import Credential, Standing
from app.records.garage import Garage

# By id and address only: a name is whatever somebody typed, and a token or a secret is never written down.
_log = logging.getLogger(__name__)

LONGEST_NAME = 60
#: A link's token is 43 characters; anything far longer is nobody's.
_LONGEST_TOKEN = 100

_GUESSES = (
    ("iphone", "iPhone"),
    ("ipad", "iPad"),
    ("android", "Android phone"),
    ("windows", "Windows computer"),
    ("macintosh", "Mac"),
    ("linux", "Linux computer"),
)


@dataclass(frozen=True, slots=True)
class Pairing:
    """The one place links are made, looked at and used up."""

    garage: Garage
    keyring: Keyring
    patience: Patience

    @classmethod
    def of(cls, garage: Garage) -> "Pairing":
        """For one running program."""
        return cls(garage, Keyring(garage), Patience())

    def stands(self, token: str, peer: str) -> Standing | Literal["wait"]:
        """How a link stands, without using it up: programs that preview links fetch them. A wrong one is counted."""
        if self.patience.is_out(peer):
            return "wait"
        with self.garage.read() as db:
            return self._counted(devices.link_stands(db, token[:_LONGEST_TOKEN], datetime.now(UTC)), peer)

    def use(self, token: str, name: str, peer: str, held: Credential | None) -> Credential | Standing | Literal["wait"]:
        """Pair a device called `name`; the credential it shall carry, or how the link stands.

        `held` is what the device carries already: if that is good, it stays the same device under a new secret.
        """
        if self.patience.is_out(peer):
            return "wait"
        paired = devices.swap(self.garage.engine, token[:_LONGEST_TOKEN], name, datetime.now(UTC), held)
        if not isinstance(paired, Credential):
            return self._counted(paired, peer)
        self.keyring.forget(paired.id)
        _log.info("device %s paired from %s", paired.id, peer)
        return paired

    def _counted(self, standing: Standing, peer: str) -> Standing:
        if standing != "good":
            self.patience.wrong(peer)
            _log.warning("a link was refused (%s) from %s", standing, peer)
        return standing


def new_link(garage: Garage, origin: str) -> str:
    """A fresh link under `origin` (https://name:port), good once and for five minutes. Show it; never log it."""
    return f"{origin.rstrip('/')}/pair/{devices.make_link(garage.engine, datetime.now(UTC))}"


def clean_name(text: str, otherwise: str) -> str:
    """A device's name as typed, in one line and of a bearable length; `otherwise` when nothing is left."""
    plain = "".join(character if character.isprintable() else " " for character in text)
    return " ".join(plain.split())[:LONGEST_NAME].strip() or otherwise


def guess_name(user_agent: str) -> str:
    """What a device might be called, from what its browser says of itself."""
    told = user_agent.lower()
    return next((name for part, name in _GUESSES if part in told), "This device")
