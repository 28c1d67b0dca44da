"""Where things lie: the data folder, and the files the program ships with."""

from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

#: Where the program is found unless it is told otherwise.
THIS_MACHINE, USUAL_PORT = "127.0.0.1", 8765

_PACKAGE = Path(__file__).parent


def shipped(name: str) -> Path:
    """The folder `name` (templates, static, migrations, seed_data), in a checkout or inside the wheel."""
    beside = _PACKAGE.parent / name
    # In site-packages a neighbour called "templates" could be anybody's: only a checkout has pyproject.toml beside.
    if (_PACKAGE.parent / "pyproject.toml").is_file() and beside.is_dir():
        return beside
    return _PACKAGE / "shipped" / name


@dataclass(frozen=True, slots=True)
class Settings:
    """What one running program was told. `data` is made on first use, readable by its owner alone."""

    data: Path

    @property
    def database(self) -> Path:
        """The SQLite file of this garage."""
        return self.data / "garage.sqlite3"

    @property
    def cache(self) -> Path:
        """The folder of what can be worked out again from the record at any time: nothing in it is the truth."""
        return self.data / "cache"

    @property
    def lan(self) -> Path:
        """The folder of what the home network needs: the garage's name, its authority and certificates."""
        return self.data / "lan"


def default_data() -> Path:
    """The usual place for this user's data, by the habits of the operating system."""
    return user_data_path("witnessmark", appauthor=False)


def demo_data() -> Path:
    """The demo garage keeps to itself, so that trying the program never touches a real record."""
    return user_data_path("witnessmark-demo", appauthor=False)
