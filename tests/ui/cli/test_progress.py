"""How long the rest of a long piece of work takes, said in words that do not claim more than is known."""

from __future__ import annotations

import pytest

from diag.ui.cli.output import time_left


@pytest.mark.parametrize(
    ("spent", "done", "total", "said"),
    [
        (60.0, 10, 40, ", about 3 min left"),
        (10.0, 50, 100, ", about 10 s left"),
        (3.0, 50, 100, ""),  # too early to tell
        (60.0, 1, 40, ""),
        (60.0, 40, 40, ""),
    ],
)
def test_the_time_left_follows_from_what_is_done(spent: float, done: int, total: int, said: str) -> None:
    assert time_left(spent, done, total) == said
