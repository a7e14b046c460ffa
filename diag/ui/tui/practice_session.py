"""A practice session on the screen: the log of what came out, and everything that can be done next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from diag.decision.candidates import question_minutes
from diag.fuelsystem.fields import FIELDS
from diag.practice.cars import PAPERS
from diag.practice.finding import every_step, find_causes, find_steps
from diag.practice.guide import drawing_lines, proposal_words
from diag.practice.moves import CLAIMS, Move
from diag.practice.session import apply
from diag.practice.state import Refusal, Session
from diag.practice.words import Piece, entries, facts_line, story, turn_pieces, way_words
from diag.rulebook.steps import Check
from diag.safety.steps import questions_only
from diag.safety.stop_rules import rules_in_force
from diag.ui.tui.base import CardScreen
from diag.ui.tui.board import in_turn
from diag.ui.tui.card import Part, Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Panel
from diag.ui.tui.practice_parts import StepScreen
from diag.ui.tui.practice_rows import head_facts, piece_rows
from diag.ui.tui.rows_stops import is_loud, stop_rows
from diag.ui.tui.screens.lists import PickScreen, SearchScreen
from diag.ui.tui.screens.pages import PageScreen

CLAIM_WORDS = {
    "cured": "Cured: the fault is found, repaired and proven",
    "hand on": "Hand the car on: the rest is for somebody else",
    "give up": "Give up and look at the debrief",
}


class SessionScreen(CardScreen[Session | None]):
    """One practice car."""

    heading = "Practice"
    about: ClassVar[str] = (
        "Choose any check; the safety wall stops what is unsafe and says why. When you are sure enough, name the "
        "fault, then repair, prove the cure with checks, and finish."
    )

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.course: list[Row] = piece_rows(story(session))

    def body(self) -> ComposeResult:
        """Stops across the top, then the log."""
        with VerticalScroll(id="stops", can_focus=False):
            yield Panel(id="stop")
        with VerticalScroll(id="scroll"):
            yield Panel(id="card")

    def arrive(self) -> None:
        """The log takes the arrow keys."""
        super().arrive()
        self.query_one("#scroll").focus()

    def head_rows(self) -> list[Row]:
        """Car, clock, commitment."""
        return [row("", [Part(f" {head_facts(self.session)}", "mark")], fill="mark")]

    def paint(self) -> None:
        """Rules in force, and the log with its end in sight."""
        super().paint()
        rules = [r for r in rules_in_force(self.session.situation, self.session.book) if is_loud(r)]
        self.panel("stop").show(stop_rows(rules))
        self.panel("card").show(self.course)
        if self.session.turns:
            self.query_one("#scroll", VerticalScroll).scroll_end(animate=False)

    def deeds(self) -> Sequence[Deed]:
        """What a trainee can do."""
        return (
            Deed("c", "check", self.do_check, "choose a check or another step", more=("/",)),
            Deed("n", "name fault", self.do_cause, "commit to what is wrong"),
            Deed("r", "repair", self.do_repair, "choose a repair"),
            Deed("a", "answers", self.do_answers, "everything that came out; strike what you doubt"),
            Deed("p", "picture", self.do_picture, "the fuel system with what was read where and what is wet"),
            Deed("k", "car", self.do_car, "what is told of the car; measure or strike a figure"),
            Deed("s", "story", self.do_story, "the owner's story again", line=False),
            Deed("h", "hint", self.do_hint, "what the program would do; it is counted"),
            Deed("f", "finish", self.do_finish, "end the session and look at the debrief"),
            self.help_deed,
            self.menu_deed,
            Deed("q", "leave", self.do_back, "leave without a result", line=False, more=("esc",)),
        )

    # ------------------------------------------------------------------ moves

    def move(self, move: Move) -> None:
        """Make a move and write what came of it into the log."""
        before = len(self.session.turns)
        self.session = apply(self.session, move)
        for turn in self.session.turns[before:]:
            self.course.append(row("", ""))
            self.course += piece_rows(turn_pieces(turn, self.session))
        self.paint()

    def do_step(self, name: str, deed: str = "do") -> None:
        """A step; when something stands in the way, offer what opens it."""
        self.move(Move("ready" if deed == "ready" else "do", (name,)))
        last = self.session.last
        if last is not None and last.refusal is not None:
            self._open_way(last.refusal, last.step, name)

    def _open_way(self, refused: Refusal, step: str, goal: str) -> None:
        book = self.session.book
        if refused.kind == "no tool":
            cost = book.knobs.borrow_minutes
            words = "; ".join(book.tools.get(t, t) for t in refused.tools)
            self._offer("Not at hand", refused.why, f"Borrow it ({cost:g} minutes each): {words}",
                        lambda: self._borrow(refused.tools, goal))  # fmt: skip
        elif refused.kind == "name first":
            self._pick_cause([c.id for c in book.causes.values() if step in c.remedies], goal)
        elif refused.way:
            title = "STOP: not safe yet" if refused.kind == "unsafe" else "Something comes first"
            words = f"Do these first: {way_words(refused, book)}"
            self._offer(title, refused.why, words, lambda: self.do_step(goal, "ready"))

    def _offer(self, title: str, why: str, words: str, deed: Any) -> None:
        rows = [row("WHY", why, "strong")]
        lines = [("yes", words), ("no", "Leave it")]
        self.app.push_screen(PickScreen(title, lines, rows), lambda choice: deed() if choice == "yes" else None)

    def _borrow(self, tools: tuple[str, ...], goal: str) -> None:
        for tool in tools:
            self.move(Move("borrow", (tool,)))
        self.do_step(goal, "ready")

    def do_picture(self) -> None:
        """The fuel system with what was found so far; what is suspected is for the trainee to find."""
        lines = drawing_lines(self.session, self.desk.glyphs.plain)
        art = "\n".join(line.replace(" ", "\xa0") for line in lines)
        self.app.push_screen(PageScreen("The fuel system", [row("", art)]))

    def do_check(self) -> None:
        """Search a step, look at it, do it."""
        self._choose_step("Choose a check", None)

    def do_repair(self) -> None:
        """Search a repair; those of the named fault come first."""
        book = self.session.book
        mine = [r for c in self.session.named for r in book.causes[c].remedies]
        self._choose_step("Choose a repair", [*dict.fromkeys([*mine, *book.remedies])])

    def _choose_step(self, title: str, only: Sequence[str] | None) -> None:
        book = self.session.book

        def lines(text: str) -> list[tuple[str, str]]:
            return [(s.id, f"{s.title}   {s.minutes:g} min") for s in find_steps(book, text, only)]

        def take(name: str | None) -> None:
            if name and questions_only(every_step(book)[name]):
                self._which_questions(book.checks[name])
            elif name:
                self.app.push_screen(StepScreen(name, book), lambda yes: self.do_step(name) if yes else None)

        hint = "a few words: listen, base pressure, return, volts" if only is None else "a few words: diaphragm, pump"
        self.app.push_screen(SearchScreen(title, lines, hint), take)

    def _which_questions(self, check: Check) -> None:
        """Loose questions: all of them, or one at its share of the minutes."""
        signs = self.session.book.signs
        each = question_minutes(check)
        lines = [("*", f"All of them, {check.minutes:g} min")]
        lines += [(y.sign, f"{signs[y.sign].ask}   {each:.1f} min") for y in check.yields]

        def take(sign: str | None) -> None:
            if sign == "*":
                self.do_step(check.id)
            elif sign:
                self.move(Move("ask", (sign,)))

        self.app.push_screen(PickScreen(check.title, lines, [row("WHY", check.why)]), take)

    def do_cause(self) -> None:
        """Commit to a fault."""
        book = self.session.book

        def lines(text: str) -> list[tuple[str, str]]:
            return [(c, book.causes[c].title) for c in find_causes(book, text)]

        def take(name: str | None) -> None:
            if name:
                self._named(name)

        self.app.push_screen(SearchScreen("What is wrong?", lines, "a few words: diaphragm, return, relay"), take)

    def _named(self, name: str) -> None:
        """One fault, or a second one beside it."""
        if self.session.named and name not in self.session.named and self.session.deal.level.faults > 1:
            self.move(Move("name", (*self.session.named[-1:], name)))
        else:
            self.move(Move("name", (name,)))

    def _pick_cause(self, causes: Sequence[str], goal: str) -> None:
        book = self.session.book

        def take(name: str | None) -> None:
            if name:
                self._named(name)
                self.do_step(goal)

        rows = [row("FIRST", "Commit to the cause that this repair is for.", "strong")]
        self.app.push_screen(PickScreen("Which fault is it?", [(c, book.causes[c].title) for c in causes], rows), take)

    # ------------------------------------------------------------------ looking back

    def do_story(self) -> None:
        """The owner's story."""
        self.app.push_screen(PageScreen("The owner's story", piece_rows(story(self.session))))

    def do_answers(self) -> None:
        """Everything that came out; picking one strikes it."""
        found = entries(self.session)[::-1]
        if not found:
            self.tell("Nothing has come out yet.")
            return

        def take(number: str | None) -> None:
            if number:
                self._offer("Strike this out?", next(p.text for p in found if p.label == number),
                            "Strike it: it no longer counts", lambda: self.move(Move("doubt", (number,))))  # fmt: skip

        lines = [(p.label, f"{p.label}: {p.text}") for p in found]
        rows = [row("ANSWERS", "Newest first. Pick one that you doubt to strike it out.")]
        self.app.push_screen(PickScreen("What came out", lines, rows), take)

    def do_car(self) -> None:
        """What is told of the car; a figure can be measured or struck."""
        lines = [(f"measure {f}", f"Measure it yourself (10 minutes): {FIELDS[f].title}") for f in PAPERS]
        told = [e for e in self.session.deal.facts if e in PAPERS]
        lines += [(f"forget {f}", f"Strike what is told: {FIELDS[f].title}") for f in told]

        def take(choice: str | None) -> None:
            if choice:
                deed, _, field = choice.partition(" ")
                self.move(Move("measure" if deed == "measure" else "forget", (field,)))

        rows = [row("PAPERS", facts_line(self.session))]
        self.app.push_screen(PickScreen("The car", lines, rows), take)

    def do_hint(self) -> None:
        """What the program would do, worked out in a thread."""
        self.move(Move("hint"))
        session, cache = self.session, self.desk.cache
        self.tell("The program is thinking ...", "quiet")
        self.in_background(lambda: (session, in_turn(lambda: proposal_words(session, cache))), "hint")

    def found(self, group: str, result: Any) -> None:
        """A hint is there."""
        session, words = result
        self.tell("")
        if session is self.session:
            self.course += piece_rows([Piece("HINT", words)])
            self.paint()

    # ------------------------------------------------------------------ the end

    def do_finish(self) -> None:
        """Say how it ends."""
        rows = [row("FINISH", "The debrief shows what was wrong, so nothing can be changed after this.")]

        def take(claim: str | None) -> None:
            if claim:
                self.move(Move("finish", (claim,)))
                self.dismiss(self.session)

        lines = [(claim, CLAIM_WORDS[claim]) for claim in CLAIMS]
        self.app.push_screen(PickScreen("How does it end?", lines, rows), take)

    def do_back(self) -> None:
        """Leave without a result."""
        rows = [row("LEAVE", f"No result is kept. The same car comes again as number {self.session.deal.seed}.")]

        def take(choice: str | None) -> None:
            if choice == "yes":
                self.dismiss(None)

        self.app.push_screen(PickScreen("Leave this car?", [("no", "Stay"), ("yes", "Leave")], rows), take)
