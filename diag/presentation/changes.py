"""What an answer or any other change did to a job, in sentences."""

from __future__ import annotations

from diag.casework.replay import Comparison
from diag.presentation.figures import percent

Words = tuple[str, ...]

MOST_CAUSES = 3


def change_words(change: Comparison) -> Words:
    """The causes that moved most, then who leads now, wet fuel, and stop rules that came or went."""
    return cause_words(change) + besides(change)


def cause_words(change: Comparison) -> Words:
    """The causes that moved most, one sentence each."""
    return tuple(
        f"{m.title} {'rose' if m.after > m.before else 'fell'} from {percent(m.before)} to {percent(m.after)}."
        for m in change.moved[:MOST_CAUSES]
    )


def besides(change: Comparison) -> Words:
    """Everything else that changed."""
    words = []
    if change.leader_before != change.leader_after:
        before, after = change.leader_titles
        words.append(f"{after} leads now instead of {before}.")
    if change.wet_before is not change.wet_after:
        words.append(f"Wet fuel was '{change.wet_before.value}' and is now '{change.wet_after.value}'.")
    words += [f"Now in force: {title}." for title in change.stops_begun]
    words += [f"No longer in force: {title}." for title in change.stops_ended]
    return tuple(words)
