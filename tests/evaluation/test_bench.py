"""The figures come out, and the library agrees with us where it can."""

from __future__ import annotations

import pytest

from diag.evaluation import bench, peer


def test_made_up_book_is_the_stated_size() -> None:
    """70 causes, 100 signs, five links a sign, the same on every run."""
    book = bench.made_up_book()
    assert len(book.causes) == 70
    assert len(book.signs) == 100
    assert sum(len(c.shows) for c in book.causes.values()) == 500
    assert bench.made_up_book().causes["cause-007"].shows == book.causes["cause-007"].shows


@pytest.mark.skipif(not peer.available(), reason="the comparison library is a test dependency")
def test_library_agrees_on_the_made_up_book() -> None:
    """Same prior, six answers: the row of differences is rounding only."""
    rows = {row.name: row for row in bench._words(6)}
    gap = next(row for name, row in rows.items() if "difference" in name)
    assert gap.ours < 1e-9
    assert all(row.ours > 0.0 for row in rows.values() if row.unit == "ms")
