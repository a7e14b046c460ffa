"""What can be done in a job: the answers to the present question first, then what is always there."""

from __future__ import annotations

from diag.casework.agenda import Task
from diag.rulebook.model import RuleBook
from diag.ui.tui.base import HELP, MENU
from diag.ui.tui.deeds import Deed

ALWAYS = (
    Deed("t", "tell", "told", "tell something unasked: type a few words and pick", more=("/",)),
    Deed("w", "causes", "causes", "causes: why, for and against, what each would show"),
    Deed("a", "answers", "answers", "answers given so far: change one or take it back"),
    Deed("z", "undo", "undo", "take the last answer back", more=("ctrl+z",)),
    Deed("k", "car", "car", "what is known of the car", line=False),
    Deed("p", "picture", "picture", "picture: rail pressure over manifold pressure", line=False),
    Deed("i", "data log", "data_log", "read a data log (CSV, TSV) into the job", line=False),
    Deed("o", "other checks", "others", "other checks: choose another one than proposed", line=False),
    Deed("e", "who", "people", "who is at the car and what they have", line=False),
    Deed("b", "note", "note", "write a note into the job", line=False),
    Deed("!", "cautions", "cautions", "every caution and stop rule in full", line=False),
    Deed("j", "jobs", "jobs", "other open jobs and calls, and the start", line=False),
    Deed("f", "finish", "finish", "finish the job, with a summary to read back", line=False),
    Deed("g", "hand over", "hand_over", "hand-over note for the next person", line=False),
    Deed("+", "read aloud", "aloud", "steps as said aloud, or as done", line=False),
    Deed("pgdn", "read on", "read_on", "read the step on; PgUp reads it back", more=("pagedown",)),
    HELP,
    MENU,
    Deed("q", "leave", "leave", "leave the job; what could not be saved is shown first", line=False),
)


def answers_to(task: Task, book: RuleBook, by_phone: bool) -> list[Deed]:
    """The keys that answer or deal with one task."""
    found: list[Deed] = []
    if task.kind == "sign":
        choices = book.signs[task.sign].choices
        for at, choice in enumerate(choices[:9], 1):
            found.append(Deed(str(at), choice.words, "answer", f"answer: {choice.words}", False, (), choice.id))
        if not choices:
            found += [Deed("y", "yes", "answer", "answer yes", False, (), "yes"),
                      Deed("n", "no", "answer", "answer no", False, (), "no")]  # fmt: skip
    if task.kind in ("sign", "reading"):
        found += [
            Deed("u", "not known", "answer", "not known, or could not be seen", False, (), "?"),
            Deed("m", "not sure", "unsure", "mark the next answer as not sure, or take the mark off"),
            Deed("h", "heard", "second_hand", "mark the next answer as heard from somebody else", line=by_phone),
        ]
    if task.kind == "reading":
        found.append(Deed("v", "value", "value", "type the value (a digit starts it at once)", line=False))
    if task.kind == "remedy":
        found.append(Deed("space", "tick", "tick_next", "tick the next step"))
    if task.kind in ("do", "remedy"):
        found.append(Deed("d", "done", "done", "it is done"))
    if task.kind not in ("stop", "hand on", "close"):
        found += [Deed("s", "skip", "skip", "skip this check for now"),
                  Deed("c", "cannot", "cannot", "it cannot be done here"),
                  Deed("l", "later", "later", "do it later")]  # fmt: skip
    return found
