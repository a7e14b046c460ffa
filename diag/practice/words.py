"""A session and its debrief in words: pieces of a label and a sentence, for lines and for screens alike. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from diag.casework.entries import CarFact, ReadingTaken, SignAnswer
from diag.fuelsystem.fields import FIELDS
from diag.practice.debrief import Debrief, Mark, Review
from diag.practice.judge import Score
from diag.practice.state import Refusal, Session, Turn
from diag.presentation.figures import minutes, percent
from diag.presentation.wording import Words
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Step
from diag.safety.steps import find_step
from diag.support.text import one_line


@dataclass(frozen=True, slots=True)
class Piece:
    """One paragraph: a short label, empty when it goes on under the last one, and its text.

    ``loud`` marks what must not be missed.
    """

    label: str
    text: str
    loud: bool = False


# ------------------------------------------------------------------ while working

FIRST = (
    "Choose a check, and let it be the look-over: every other check brings pressure, a spark or an open joint, so a "
    "master looks for wet fuel before anything runs. After it comes the cheapest check that parts the causes of this "
    "complaint; hint says which one the program would take now, and why."
)


def story(session: Session) -> list[Piece]:
    """The car, its owner's complaint and its papers."""
    dealt, book = session.deal, session.book
    pieces = [
        Piece("LEVEL", f"{dealt.level.title}, car number {dealt.seed}. {dealt.level.words}"),
        Piece("CAR", f"{dealt.club_car.name}. {dealt.club_car.about}"),
    ]
    for at, name in enumerate(dealt.complaints):
        sign = book.signs[name]
        said = f' ("{sign.phrases[0]}")' if sign.phrases else ""
        pieces.append(Piece("OWNER" if not at else "", f"{sign.title}{said}."))
    told = [f"{book.contexts[c].title}: {a}" for c, a in dealt.contexts.items() if c in book.contexts]
    if told:
        pieces.append(Piece("ALSO", ". ".join(told) + "."))
    pieces.append(Piece("PAPERS", facts_line(session)))
    if dealt.level.missing:
        words = "; ".join(book.tools[t] for t in sorted(dealt.level.missing) if t in book.tools)
        pieces.append(Piece("LACKS", f"Not at hand: {words}."))
    return [*pieces, Piece("FIRST", FIRST)]


def facts_line(session: Session) -> str:
    """What is told of the car and still stands."""
    texts = {e.field: e.text for e in session.case.effective() if isinstance(e, CarFact)}
    known = [f"{FIELDS[f].title} {t}" for f, t in texts.items() if f in FIELDS and t]
    return "; ".join(known) + "." if known else "Nothing is known."


def entries(session: Session) -> list[Piece]:
    """Every answer and reading that counts, with its number."""
    words = Words(session.book, session.case.unit_pressure)
    return [
        Piece(str(e.number), words.answer(e) if isinstance(e, SignAnswer) else words.reading(e))
        for e in session.case.effective()
        if isinstance(e, SignAnswer | ReadingTaken)
    ]


def step_pieces(step: Step, book: RuleBook) -> list[Piece]:
    """What a step is, before it is done."""
    tools = "; ".join(book.tools.get(t, t) for t in step.tools) or "none"
    pieces = [Piece("STEP", f"{step.title}. {step.why}")]
    pieces.append(Piece("COST", f"{minutes(step.minutes)}, risk {step.risk_minutes:g}. Tools: {tools}."))
    for name in step.hazards:
        hazard = book.hazards.get(name)
        if hazard is not None:
            cautions = " ".join(one_line(c, 300) for c in hazard.cautions)
            pieces.append(Piece("CARE", f"{hazard.title}: {cautions}", loud=True))
    how = [one_line(text, 400) for text in step.steps]
    return [*pieces, *(Piece("HOW" if at == 1 else "", f"{at}. {text}") for at, text in enumerate(how, 1))]


def turn_pieces(turn: Turn, session: Session) -> list[Piece]:
    """What came of one turn."""
    if turn.refusal is not None:
        return refusal_pieces(turn, turn.refusal, session.book)
    cost = f" ({minutes(turn.minutes)})" if turn.minutes else ""
    head = Piece("DONE" if turn.kind == "done" else "SAID", f"{turn.title}{cost}")
    return [head, *(Piece(str(told.entry), told.text) for told in turn.told)]


def refusal_pieces(turn: Turn, refused: Refusal, book: RuleBook) -> list[Piece]:
    """Why a step was not done, and what would open the way."""
    label = {"unsafe": "STOP", "not ready": "FIRST", "no tool": "LACKS", "name first": "FIRST"}.get(
        refused.kind, "NOTE"
    )
    pieces = [Piece(label, f"{turn.title}: not done. {refused.why}", loud=refused.kind == "unsafe")]
    if refused.until:
        pieces.append(Piece("UNTIL", refused.until[:1].upper() + refused.until[1:].rstrip(".") + "."))
    if refused.way:
        pieces.append(Piece("WAY", way_words(refused, book)))
    return pieces


def way_words(refused: Refusal, book: RuleBook) -> str:
    """The enabling steps in order, with their minutes."""
    steps = [s for s in (find_step(book, name) for name in refused.way) if s is not None]
    total = sum(s.minutes for s in steps)
    return f"{'; then '.join(s.title for s in steps)} ({minutes(total)})."


# ------------------------------------------------------------------ the debrief


def debrief_pieces(told: Debrief) -> list[Piece]:
    """The whole debrief, most important first."""
    return [*_was(told), *_result(told), *_steps(told), *_courses(told)]


def _was(told: Debrief) -> list[Piece]:
    session, book = told.session, told.session.book
    pieces = []
    for at, name in enumerate(session.deal.causes):
        cause = book.causes[name]
        pieces.append(Piece("WAS" if not at else "", f"{cause.title}. {one_line(cause.in_words, 600)}"))
        if cause.tell_apart:
            pieces.append(Piece("", f"Told apart by: {one_line(cause.tell_apart, 400)}"))
    wrong = session.deal.wrong_fact
    if wrong is not None:
        struck = "You put it right." if _put_right(session, wrong.field) else "It stood in the job to the end."
        title = FIELDS[wrong.field].title
        pieces.append(Piece("WRONG", f"{title} was told as {wrong.told}; it is {wrong.true}. {struck}"))
    if session.deal.misread_at:
        pieces.append(Piece("MISREAD", _misread(session)))
    return pieces


def _put_right(session: Session, field: str) -> bool:
    told = [e.text for e in session.case.effective() if isinstance(e, CarFact) and e.field == field]
    return len(told) > 1


def _misread(session: Session) -> str:
    book = session.book
    read = [e for e in session.case.entries if isinstance(e, ReadingTaken)]
    taken = [e for e in read if book.readings[e.reading].quantity == "pressure"]
    if len(taken) < session.deal.misread_at:
        return "The reading that would have come out wrong was never taken."
    entry = taken[session.deal.misread_at - 1]
    words = Words(book, session.case.unit_pressure).reading(entry)
    counts = any(e.number == entry.number for e in session.case.effective())
    again = sum((e.reading, e.point) == (entry.reading, entry.point) for e in taken) > 1
    tail = "You struck it out." if not counts else "You read it again." if again else "It was never read again."
    return f"Entry {entry.number} was misread: {words}. {tail}"


def _result(told: Debrief) -> list[Piece]:
    yours, programs, book = told.score, told.program_score, told.session.book
    left = ", ".join(book.causes[c].title for c in yours.left if c in book.causes)
    solved = "Solved." if yours.solved else f"Not solved: {left or 'the job was given up'} remained."
    named = "The fault was named." if yours.named else "The fault was not named."
    proven = "The cure was proven." if yours.proven else "The cure was not proven by every check that proves it."
    pieces = [Piece("RESULT", f"{solved} {named} {proven if yours.repairs else ''}".strip(), loud=not yours.solved)]
    pieces.append(Piece("YOU", score_words(yours)))
    how = "" if programs.solved else " It did not solve this car either."
    pieces.append(Piece("PROGRAM", f"{score_words(programs)}{how}"))
    if yours.unsafe:
        times = "once" if yours.unsafe == 1 else f"{yours.unsafe} times"
        pieces.append(Piece("SAFETY", f"The wall stopped you {times}; each place below says why.", loud=True))
    return pieces


def score_words(score: Score) -> str:
    """Figures of a session in one line."""
    extra = f", {score.wasted} of them for nothing" if score.wasted else ""
    hints = f", {score.hints} hint{'s' if score.hints != 1 else ''}" if score.hints else ""
    return (
        f"{score.minutes:.0f} minutes, risk {score.risk:.0f}, {score.checks} checks, "
        f"{score.repairs} repair{'s' if score.repairs != 1 else ''}{extra}{hints}."
    )


def _steps(told: Debrief) -> list[Piece]:
    pieces: list[Piece] = []
    taught: set[str] = set()
    for review in told.reviews:
        pieces += review_pieces(review, review.turn.step not in taught)
        taught.add(review.turn.step)
    return pieces


def review_pieces(review: Review, teach: bool = True) -> list[Piece]:
    """One turn looked at again; ``teach`` adds what the step teaches."""
    turn = review.turn
    cost = f" ({minutes(turn.minutes)}, risk {turn.risk:g})" if turn.kind == "done" else ""
    text = f"{turn.title}{cost}."
    if review.told is not None:
        before, after = (percent(p) for p in review.truth)
        moved = f"from {before} to {after}" if before != after else f"left at {after}"
        text += f" Chance of what was really wrong: {moved}, {review.told:+.1f} bits."
    if review.verdict:
        text += f" {review.verdict}"
    pieces = [Piece(str(turn.number), text, loud=turn.kind == "unsafe")]
    if review.teaches and teach:
        pieces.append(Piece("", f"To take away: {review.teaches}"))
    return pieces


def _courses(told: Debrief) -> list[Piece]:
    pieces = []
    for label, marks in (("YOURS", told.yours), ("PROGRAM", told.programs)):
        pieces += [Piece(label if not at else "", mark_words(mark)) for at, mark in enumerate(marks)]
    return pieces


def mark_words(mark: Mark) -> str:
    """One step of a course: minutes so far, chance of the truth, title."""
    return f"after {mark.minutes:.0f} min, risk {mark.risk:.0f}: {percent(mark.truth)} on the truth. {mark.title}"
