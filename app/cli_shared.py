"""What every command shares: the settings it was given, and the garage they name."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from app.settings import Settings, default_data

if TYPE_CHECKING:
    from app.records.garage import Garage

#: Adds a command: its name, what does it, what it says of itself.
Command = Callable[[str, Callable[[argparse.Namespace], int], str], argparse.ArgumentParser]


def settings_of(asked: argparse.Namespace) -> Settings:
    """Where the record lies, as asked."""
    given: Path | None = getattr(asked, "data", None)
    return Settings(default_data() if given is None else given.expanduser())


def opened(settings: Settings) -> "Garage":
    """The garage, made on first use; the first run says where it lies."""
    from app.records.garage import Garage

    new = not settings.database.exists()
    garage = Garage.open(settings)
    if new:
        print(f"This is a new garage. Its record lies in {settings.database}", flush=True)
    return garage
