"""What every test has: within a module, what one test had worked out serves the next, as within one command."""

from __future__ import annotations

import pytest

from springwright.evaluation import Evaluation


@pytest.fixture(scope="module", autouse=True)
def worked_out_once():
    """An Evaluation for each module of tests."""
    with Evaluation():
        yield
