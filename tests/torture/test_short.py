import os
from pathlib import Path

import pytest

from tests.phone.conftest import in_a_loop
from tests.torture.phone import chromium
from tests.torture.run import Run, report, torture

pytestmark = pytest.mark.browser


def test_nothing_is_lost_doubled_or_out_of_order_whatever_breaks(tmp_path: Path) -> None:
    if chromium() is None:
        sentence = "No Chromium on PATH, and CHROMIUM is not set."
        if os.environ.get("WITNESSMARK_BROWSER") == "required":
            pytest.fail(sentence)
        pytest.skip(sentence)
    run = in_a_loop(torture(Run(seed=3, entries=300, folder=tmp_path)))
    assert run.wrong == {}, report(run)
    # It was bad weather indeed.
    assert len(+run.befell) > 10, report(run)
