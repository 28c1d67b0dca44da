"""One worker runs the bench, so that a day is lived once a session and not once a worker."""

from pathlib import Path

import pytest

_HERE = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep the slow half of the bench on one worker."""
    for item in items:
        if item.path.parent == _HERE and item.path.stem in ("test_days", "test_triage"):
            item.add_marker(pytest.mark.xdist_group("bench"))
