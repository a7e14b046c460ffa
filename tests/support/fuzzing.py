"""How many examples property tests run: a modest number normally, DIAG_FUZZ times as many when it is set."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

TIMES = max(1, int(os.environ.get("DIAG_FUZZ", "1")))


def examples(normal: int) -> settings:
    """Settings for a property test: repeatable in normal runs, fresh examples when DIAG_FUZZ asks for more."""
    return settings(
        max_examples=normal * TIMES,
        deadline=None,
        derandomize=TIMES == 1,
        database=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
    )
