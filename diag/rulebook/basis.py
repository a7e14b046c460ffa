"""Where a figure of the rule book comes from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Basis:
    """Where a figure comes from."""

    kind: Literal["source", "computed", "judgement", "common practice, no source"]
    why: str


JUDGEMENT = Basis("judgement", "")  # where an entry gives none
