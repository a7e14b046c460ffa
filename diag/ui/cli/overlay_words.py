"""What learnt frequencies change, on the terminal: for the overlay of a folder and the versions of a team alike."""

from __future__ import annotations

from diag.evaluation.learning import Overlay, shifts
from diag.rulebook.model import RuleBook
from diag.support.text import one_line
from diag.ui.cli.output import json_text, say, table

SCHEMA_VERSION = 1
MOST_SHOWN = 20


def review(overlay: Overlay, book: RuleBook, as_json: bool, state: str = "") -> None:
    """What an overlay changes. ``state`` says whether it counts, where the overlay itself does not know."""
    rows = shifts(book, overlay)
    counts = overlay.counts
    if as_json:
        say(json_text({
            "schema": SCHEMA_VERSION, "kind": "learnt", "made": one_line(overlay.made), "in_use": overlay.enabled,
            "book": {"version": one_line(overlay.book_version), "fingerprint": one_line(overlay.book_fingerprint)},
            "strength": overlay.strength, "jobs": counts.used, "one_cause": counts.single,
            "several_causes": counts.several, "nothing_wrong": counts.none, "passed_over": dict(counts.refused),
            "causes": [{"id": r.cause, "title": one_line(r.title), "share_of_book": r.book, "share_learnt": r.learnt,
                        "jobs": r.jobs} for r in rows],
        }))  # fmt: skip
        return
    state = state or ("in use" if overlay.enabled else "SWITCHED OFF")
    say(f"Made {overlay.made}, {state}; the book weighs as much as "
        f"{overlay.strength:g} jobs.")  # fmt: skip
    say(f"{counts.used} jobs taught something: {counts.single} one cause, {counts.several} several causes, "
        f"{counts.none} nothing wrong.")  # fmt: skip
    for why, n in counts.refused.items():
        say(f"Passed over, {one_line(why)}: {n}")
    if overlay.book_fingerprint != book.fingerprint:
        say("The rule book has changed since these jobs were counted.")
    shown = [(f"{100 * r.book:.2f} %", f"{100 * r.learnt:.2f} %", str(r.jobs), r.title) for r in rows[:MOST_SHOWN]]
    if shown:
        say("\n".join(["", *table(("book", "learnt", "jobs", "cause"), shown)]))
