"""Practice line by line: the same abilities as the screen, without cursor movement, for screen readers and pipes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Protocol

from diag.practice.cars import PAPERS
from diag.practice.debrief import Debrief
from diag.practice.doing import step_of
from diag.practice.finding import areas_of_checks, every_step, find_causes, find_steps
from diag.practice.guide import drawing_lines
from diag.practice.moves import CLAIMS, DEEDS, Move, read_move
from diag.practice.session import apply
from diag.practice.state import Refusal, Session
from diag.practice.words import Piece, debrief_pieces, entries, facts_line, step_pieces, story, turn_pieces
from diag.support.errors import UserError

YES = frozenset({"y", "yes"})
HELP = (
    "Find the hidden fault: choose checks freely, commit to a cause, repair, prove the cure, and finish.",
    "find WORDS: steps that fit, numbered. areas: the areas of the car. area NAME: its checks. repairs WORDS: repairs.",
    "NUMBER: look at a step of the last list and do it. do NAME: the same without looking.",
    "ask SIGN, SIGN: only these questions of a check that is nothing but questions.",
    "ready NAME: do what a step still needs, one safe step after the other, and then the step.",
    "causes WORDS: causes that fit, numbered. name NUMBER or name CAUSE: commit to what is wrong.",
    "story: the owner's story again. answers: everything that came out, with numbers. doubt NUMBER: strike one.",
    "drawing: the fuel system with what was read where and what is wet; what is suspected is yours to find.",
    "facts: what is told of the car. forget FIELD: strike one. measure FIELD: measure it yourself (10 minutes).",
    "borrow TOOL: get a tool that is not at hand. hint: what the program would do. clock: minutes and risk so far.",
    "finish: end with cured, hand on or give up. quit: leave without a result. help: this list.",
)


class Lines(Protocol):
    """Where lines go and come from."""

    def say(self, text: str = "", indent: str = "") -> None:
        """One paragraph."""

    def ask(self, prompt: str = "") -> str | None:
        """The next line; None when the input has ended."""


class PracticeConversation:
    """One session, one line at a time.

    Args:
        session: the session as it begins.
        lines: where lines go and come from.
        propose: what the program would do now, in a few words; asked for hints only.
    """

    def __init__(self, session: Session, lines: Lines, propose: Callable[[Session], str]) -> None:
        self.session = session
        self.lines = lines
        self.propose = propose
        self.listed: list[str] = []  # ids behind the numbers of the last list
        self.kind = "step"
        self.over = False

    def run(self) -> Session | None:
        """Until it is finished; None when the trainee left without a result."""
        self.pieces(story(self.session))
        self.lines.say("Say help for what can be said. Begin with: find look over")
        while not self.session.finished:
            line = self.lines.ask("practice")
            if line is None or self.over:
                return None
            try:
                self.take(line)
            except UserError as error:
                self.lines.say(error.one_line())
            if self.over:
                return None
        return self.session

    # ------------------------------------------------------------------ one line

    def take(self, line: str) -> None:
        """Understand one line and do it."""
        word, _, rest = line.strip().partition(" ")
        word, rest = word.casefold(), rest.strip()
        if not word:
            self.clock()
        elif word.isdecimal():
            self.pick(int(word))
        elif word in ("do", "ready"):
            self.do(self._step_named(rest), word)
        elif word == "name":
            self.name(rest)
        elif word == "finish":
            self.finish(rest)
        elif word == "hint":
            self.move(Move("hint"))
            self.lines.say(f"The program would do this: {self.propose(self.session)}")
        elif word in DEEDS:
            self.move(read_move(f"{word} {rest}"))
        else:
            self.look(word, rest)

    def look(self, word: str, rest: str) -> None:
        """Everything that only shows."""
        book = self.session.book
        if word in ("help", "?"):
            for text in HELP:
                self.lines.say(text)
        elif word == "story":
            self.pieces(story(self.session))
        elif word == "answers":
            self.pieces(entries(self.session) or [Piece("NOTE", "Nothing has come out yet.")])
        elif word in ("drawing", "picture"):
            for text in drawing_lines(self.session):
                self.lines.say(text)
        elif word == "facts":
            self.lines.say(facts_line(self.session))
            self.lines.say("Can be measured: " + ", ".join(PAPERS) + ".")
        elif word == "clock":
            self.clock()
        elif word == "areas":
            for area, names in areas_of_checks(book).items():
                self.lines.say(f"{area}: {book.areas[area]}, {len(names)} checks")
        elif word == "area":
            found = areas_of_checks(book)
            if rest not in found:
                raise UserError("There is no such area.", f"Say one of: {', '.join(found)}.")
            self.list_steps(found[rest])
        elif word == "repairs":
            self.list_steps([s.id for s in find_steps(book, rest, book.remedies)])
        elif word == "causes":
            self.list_causes(find_causes(book, rest))
        elif word == "quit":
            self.over = True
        else:
            words = rest if word == "find" else f"{word} {rest}"
            self.list_steps([s.id for s in find_steps(book, words)])

    # ------------------------------------------------------------------ lists

    def list_steps(self, names: Sequence[str]) -> None:
        """A numbered list of steps with their minutes."""
        steps = every_step(self.session.book)
        self._list("step", names, lambda name: f"{steps[name].title}, {steps[name].minutes:g} min ({name})")

    def list_causes(self, names: Sequence[str]) -> None:
        """A numbered list of causes."""
        causes = self.session.book.causes
        self._list("cause", names, lambda name: f"{causes[name].title} ({name})")

    def _list(self, kind: str, names: Sequence[str], words: Callable[[str], str]) -> None:
        if not names:
            self.lines.say("Nothing fits. Try other words, or fewer.")
            return
        self.listed, self.kind = list(names), kind
        for number, name in enumerate(names, 1):
            self.lines.say(f"{number}. {words(name)}")

    def _listed(self, number: int) -> str:
        if not 1 <= number <= len(self.listed):
            raise UserError(f"There is no line {number} in the last list.", "Say find and a few words for a list.")
        return self.listed[number - 1]

    def _step_named(self, text: str) -> str:
        if text.isdecimal():
            return self._listed(int(text))
        return step_of(self.session, text).id

    def pick(self, number: int) -> None:
        """A line of the last list: look at a step and do it, or commit to a cause."""
        name = self._listed(number)
        if self.kind == "cause":
            self.name(name)
            return
        self.pieces(step_pieces(step_of(self.session, name), self.session.book))
        if self.yes("Do it?"):
            self.do(name, "do")

    # ------------------------------------------------------------------ moves

    def move(self, move: Move) -> None:
        """Make a move and say what came of it."""
        before = len(self.session.turns)
        self.session = apply(self.session, move)
        for turn in self.session.turns[before:]:
            self.pieces(turn_pieces(turn, self.session))

    def do(self, name: str, deed: str) -> None:
        """A step; when something stands in the way, offer what opens it."""
        for _ in range(20):
            self.move(Move("ready" if deed == "ready" else "do", (name,)))
            last = self.session.last
            refused = last.refusal if last is not None else None
            if refused is None:
                return
            opened = self._open_way(refused, last.step if last is not None else name)
            if opened is None:
                return
            deed = opened

    def _open_way(self, refused: Refusal, step: str) -> str | None:
        """Offer to do what is missing; how to go on with the step, or None to leave it."""
        if refused.kind == "no tool":
            cost = self.session.book.knobs.borrow_minutes
            if not self.yes(f"Borrow what is missing? It takes {cost:g} minutes each."):
                return None
            for tool in refused.tools:
                self.move(Move("borrow", (tool,)))
            return "ready"
        if refused.kind == "name first":
            book = self.session.book
            self.lines.say("Which of these is it? Say name and a number, and then the repair again.")
            self.list_causes([c.id for c in book.causes.values() if step in c.remedies])
            return None
        if refused.way and self.yes("Do these first, one after the other?"):
            return "ready"
        return None

    def name(self, text: str) -> None:
        """Commit to one or more causes, by numbers of the last list or by name."""
        told = [t.strip() for t in text.split(",") if t.strip()]
        if not told:
            raise UserError("No cause was named.", "Say causes and a few words, then name and a number.")
        self.move(Move("name", tuple(self._listed(int(t)) if t.isdecimal() else t for t in told)))

    def finish(self, text: str) -> None:
        """End the session."""
        claim = text or self.lines.ask(f"How does it end: {', '.join(CLAIMS)}?") or ""
        if claim:
            self.move(Move("finish", (claim,)))

    # ------------------------------------------------------------------ saying

    def clock(self) -> None:
        """Minutes and risk so far."""
        session = self.session
        named = ", ".join(session.book.causes[c].title for c in session.named) or "no cause yet"
        self.lines.say(f"{session.minutes:.0f} minutes, risk {session.risk:.0f} so far. Committed to: {named}.")

    def yes(self, question: str) -> bool:
        """A question with yes or no; anything else is no."""
        answer = self.lines.ask(f"{question} yes or no")
        return answer is not None and answer.strip().casefold() in YES

    def pieces(self, pieces: Iterable[Piece]) -> None:
        """Labelled paragraphs."""
        say_pieces(self.lines, pieces)


def say_pieces(lines: Lines, pieces: Iterable[Piece]) -> None:
    """Labelled paragraphs, one a line; what goes on under a label is indented."""
    for piece in pieces:
        lines.say(f"{piece.label}: {piece.text}" if piece.label else piece.text, "" if piece.label else "  ")


def say_debrief(lines: Lines, told: Debrief) -> None:
    """The whole debrief."""
    lines.say("The debrief")
    say_pieces(lines, debrief_pieces(told))
