"""Property tests try the same examples in every normal run; DIAG_FUZZ asks for more, and fresh ones."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, database=None, deadline=None)
if "DIAG_FUZZ" not in os.environ:
    settings.load_profile("repeatable")
