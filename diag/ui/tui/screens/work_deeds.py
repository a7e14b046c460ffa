"""What can be done in a job: the answers to the present question first, then what is always there."""

from __future__ import annotations

from functools import partial

from diag.casework.agenda import Task
from diag.rulebook.between import words_between
from diag.ui.tui.deeds import Act, Deed
from diag.ui.tui.screens.work_answers import Answers
from diag.ui.tui.screens.work_doors import Doors
from diag.ui.tui.screens.work_state import WorkState
from diag.ui.tui.screens.work_steps import Steps


def answers_to(task: Task, state: WorkState, answers: Answers, steps: Steps, to_value: Act) -> list[Deed]:
    """The keys that answer or deal with one task."""
    found: list[Deed] = []
    if task.kind == "sign":
        found += _choices(task, state, answers)
    if task.kind in ("sign", "reading"):
        found += [
            Deed("u", "not known", partial(answers.answer, "?"), "not known, or could not be seen", False),
            Deed("m", "not sure", answers.unsure, "mark the next answer as not sure, or take the mark off"),
            Deed("h", "heard", answers.second_hand, "mark the next answer as heard from somebody else", state.by_phone),
        ]
    if answers.rest:
        found.append(Deed("r", "rest dry", answers.rest_dry, "each place was named, and all the rest is dry", False))
    if task.kind == "reading":
        found.append(Deed("v", "value", to_value, "type the value", False))
    if task.kind == "remedy":
        found.append(Deed("space", "tick", steps.tick_next, "tick the next step"))
    if task.kind in ("do", "remedy"):
        found.append(Deed("d", "done", steps.done, "it is done"))
    if state.following:
        found.append(Deed("D", "all done", steps.done_all, "this and what follows it is done, in this order"))
    if state.saying:
        found.append(Deed("space", "next line", steps.say_on, "the line was read aloud; show the next one"))
    if task.kind not in ("stop", "hand on", "close"):
        found += [Deed("s", "skip", steps.skip, "skip this check for now"),
                  Deed("c", "cannot", steps.cannot, "it cannot be done here"),
                  Deed("l", "later", steps.later, "do it later")]  # fmt: skip
    return found


def _choices(task: Task, state: WorkState, answers: Answers) -> list[Deed]:
    choices = state.job.book.signs[task.sign].choices
    if not choices:
        between = enumerate(words_between(state.job.book.signs[task.sign], state.job.book), 1)
        return [Deed("y", "yes", partial(answers.answer, "yes"), "answer yes", False),
                Deed("n", "no", partial(answers.answer, "no"), "answer no", False),
                *(Deed(str(at), words, partial(answers.answer, words), f"answer: {words}", False)
                  for at, words in between)]  # fmt: skip
    return [
        Deed(str(at), choice.words, partial(answers.answer, choice.id), f"answer: {choice.words}", False)
        for at, choice in enumerate(choices[:9], 1)
    ]


def always(doors: Doors, steps: Steps, read_on: Act) -> list[Deed]:
    """What can be done whatever is asked."""
    return [
        Deed("t", "tell", doors.told, "tell something unasked: type a few words and pick", more=("/",)),
        Deed("w", "causes", doors.causes, "causes: why, for and against, what each would show"),
        Deed("a", "answers", doors.answers, "answers given so far: change one or take it back"),
        Deed("z", "undo", steps.undo, "take the last answer back, or its last change", more=("ctrl+z",)),
        Deed("k", "car", doors.car, "what is known of the car", line=False),
        Deed(
            "p",
            "picture",
            doors.picture,
            "picture: the fuel system, and rail pressure over manifold pressure",
            line=False,
        ),
        Deed("i", "data log", doors.data_log, "read a data log (CSV, TSV) into the job", line=False),
        Deed("o", "other checks", doors.others, "other checks: choose another one than proposed", line=False),
        Deed("e", "who", doors.people, "who is at the car and what they have", line=False),
        Deed("b", "note", doors.note, "write a note into the job", line=False),
        Deed("!", "cautions", doors.cautions, "every caution and stop rule in full", line=False),
        Deed("j", "jobs", doors.jobs, "other open jobs and calls, and the start", line=False),
        Deed("f", "finish", doors.finish, "finish the job, with a summary to read back", line=False),
        Deed("g", "hand over", doors.hand_over, "hand-over note for the next person", line=False),
        Deed("+", "read aloud", doors.aloud, "steps as said aloud, or as done", line=False),
        Deed("pgdn", "read on", read_on, "read the step on; PgUp reads it back", more=("pagedown",)),
    ]
