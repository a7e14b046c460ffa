"""The measuring of keys measures: every key repaints, and the figures are those of the keys pressed."""

from __future__ import annotations

from diag.ui.tui.latency import ROUND, key_latency
from tests.ui.tui.stage import shipped_book


def test_every_key_of_the_round_repaints_and_is_counted() -> None:
    """Two rounds of keys: none paints nothing, percentiles are in order, memory is that of a real program."""
    found = key_latency(shipped_book(), 2 * len(ROUND))
    assert found.unpainted == 0
    assert len(found.milliseconds) == len(found.processor) == 2 * len(ROUND)
    assert 0.0 < found.percentile(0.5) <= found.percentile(0.95) <= max(found.milliseconds)
    assert found.percentile(0.5, processor=True) > 0.0
    assert found.memory > 20.0
