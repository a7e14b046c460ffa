"""Memory that is free inside the program, given back to the system.

The usual allocator keeps what lies between living things for later; after a day of many jobs that is more than all
that lives. Where there is no way to ask for it nothing happens.
"""

from __future__ import annotations

import sys


def hand_back() -> None:
    """Give back what can be given; takes some milliseconds."""
    if not sys.platform.startswith("linux"):
        return
    import ctypes  # only for a program that has been at work for a while

    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)  # the GNU library has it
    if trim is not None:
        trim(0)
