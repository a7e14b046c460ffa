"""The ranking as the reasons speak of it: causes that one remedy cures stand together, with the chance of any."""

from __future__ import annotations

from diag.casework.replay import Standing
from diag.decision.groups import groups_of
from diag.decision.reason import Leader
from diag.inference.posterior import DIGITS


def ranking(now: Standing) -> dict[str, Leader]:
    """Groups of causes with their chance, likeliest first, by the remedy that comes first for them or the exit's name.

    The same grouping and the same figures as in the reasons of a proposal.
    """
    groups = groups_of(now.belief, now.book, now.situation)
    chances = [round(float(chance), DIGITS) for chance in groups.chances()]
    order = sorted(range(len(groups.names)), key=lambda g: (-chances[g], groups.names[g]))
    return {groups.names[g]: Leader(groups.likeliest(g), chances[g]) for g in order}
