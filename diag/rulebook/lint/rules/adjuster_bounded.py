"""A turn of the adjuster has bounds wherever it is asked for: threads left in, and pressures at which to stop."""

import re
from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, steps_of
from diag.rulebook.load import Draft
from diag.rulebook.steps import Step

_SCREW = r"(adjuster|adjusting screw|set screw|screw)"
TURNS = re.compile(
    rf"\b(turn|wind|screw|back|trim)\w*\b[^.]{{0,40}}\b{_SCREW}\b[^.]*\b(in|out|off)\b"
    rf"|\bturn (it|by)\b[^.]*\b(out|in|turns)\b|\b{_SCREW}[^.]*\bturned (out|in)\b",
    re.I,
)
ABOUT = re.compile(r"\badjuster\b|adjusting screw|set screw|lock nut", re.I)  # else it is some other screw
OTHER = re.compile(r"(cap|cover|bleed|vent) screw", re.I)
THREADS = re.compile(r"\bthreads?\b", re.I)
MOST = re.compile(r"87 psi", re.I)
ABOVE = re.compile(r"(15|fifteen) psi", re.I)


def find(draft: Draft) -> Iterator[Problem]:
    """Steps that turn the adjuster without every bound that belongs to them."""
    for section, step in steps_of(draft.book):
        for field, words in (("steps", step.steps), ("aloud", step.aloud)):
            text = " ".join(words)
            if not ABOUT.search(" ".join(step.steps)) or not any(
                TURNS.search(w) and not OTHER.search(w) for w in words
            ):
                continue
            for bound, name in wanted(step, field):
                if not bound.search(text):
                    what = f"{step.id!r} turns the adjuster in {field!r} and does not say {name}."
                    hint = "Say five threads left in, stop at 87 psi, and by phone at target plus 15 psi."
                    yield error("adjuster-bounded", draft.place(section, step.id, field), what, hint)


def wanted(step: Step, field: str) -> list[tuple[re.Pattern[str], str]]:
    """The bounds this step must name: threads always, pressures only where the pump may run."""
    bounds = [(THREADS, "how many threads stay in")]
    if {"runs pump", "runs engine"} & set(step.does):
        if field == "steps":
            bounds.append((MOST, "to stop at 87 psi"))
        if step.by_phone:
            bounds.append((ABOVE, "to stop 15 psi above the target"))
    return bounds
