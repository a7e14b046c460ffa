"""The cases written apart from the model that the program ranks wrongly with everything told at once.

What is true of a case stays what it is; it is listed here with what is wrong and the figures of that day (chance of
the true cause, and what led) until it is ranked rightly. A case that is put right must leave the list.
"""

from __future__ import annotations

MISSED: dict[str, str] = {}
