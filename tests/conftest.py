"""Property tests try the same examples in every normal run, DIAG_FUZZ asks for more and fresh ones; and who works what.

On several cores the tests of one file stay together, since they share what is dear to make. The worked cases stay
together case by case, also on one core: a case is weighed once for all its tests and can then be forgotten.
"""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, database=None, deadline=None)
if "DIAG_FUZZ" not in os.environ:
    settings.load_profile("repeatable")

BY_CASE = "test_worked_cases.py"


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Name each test's group; put the worked cases first, for they take longest, and in the order of the cases."""
    for item in items:
        item.add_marker(pytest.mark.xdist_group(_group(item)))
    items.sort(key=_turn)


def _case(item: pytest.Item) -> str:
    """The worked case a test is about, empty for any other test."""
    call = getattr(item, "callspec", None)
    return str(call.params.get("name", "")) if item.path.name == BY_CASE and call is not None else ""


def _group(item: pytest.Item) -> str:
    return _case(item) or str(item.path.relative_to(item.config.rootpath))


def _turn(item: pytest.Item) -> tuple[bool, str]:
    return item.path.name != BY_CASE, _case(item)
