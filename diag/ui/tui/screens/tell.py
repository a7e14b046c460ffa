"""Telling unasked: a few everyday words, then pick what they mean and answer it. Also the opening of a job."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Input

from diag.casework.agenda import Task
from diag.casework.entries import SignAnswer
from diag.hearing.search import find
from diag.rulebook.findings import Point
from diag.rulebook.model import RuleBook
from diag.session.heard import setting_of
from diag.session.job import Job
from diag.session.people import parted, tell_line
from diag.support.text import one_line
from diag.ui.tui.card import row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Panel
from diag.ui.tui.rows_causes import cause_rows
from diag.ui.tui.rows_work import understood_rows
from diag.ui.tui.screens.car import CarScreen
from diag.ui.tui.screens.heard import HeardScreen
from diag.ui.tui.screens.lists import List, PickScreen, WordsScreen
from diag.ui.tui.screens.pages import LineScreen, PageScreen
from diag.ui.tui.screens.warning import warn

# What people call about most, shown before anything is typed. Common practice, no source.
FREQUENT = (
    "pressure-wont-come-down", "pressure-reads-low", "pressure-does-not-follow-vacuum", "fuel-at-cap", "fuel-smell",
    "no-start", "long-crank-hot", "long-crank-cold", "stalls-hot", "dies-under-load", "smells-rich", "black-plugs",
)  # fmt: skip
USUAL = ("idle-hose-off", "idle-hose-on", "pump-on-engine-off", "key-on-prime", "full-load")  # how gauges are read most
KIND_WORDS = {"sign": "sign", "reading": "reading", "cause": "cause", "context": "about the car"}


class TellScreen(WordsScreen[None]):
    """Search as you type over signs, readings, facts about the car and causes."""

    about: ClassVar[str] = (
        "Type it as people say it: won't start, stinks of petrol, 29 psi at idle. Enter shows what was understood, to "
        "be ticked before it is written down. Or go to a line with the arrows; Enter tells it."
    )
    hint = "in everyday words: won't drop, dies on boost"

    def __init__(self, job: Job, opening: bool = False) -> None:
        super().__init__()
        self.job = job
        self.opening = opening
        self.told: list[str] = []
        self.heading = "What is the complaint?" if opening else "Tell something"

    def body(self) -> ComposeResult:
        """The line to type in, what was told so far, and what it may mean."""
        yield Panel(id="card")
        yield from super().body()

    def arrive(self) -> None:
        """Ready to type; the words that opened the job are heard at once."""
        super().arrive()
        if self.opening and not any(isinstance(e, SignAnswer) for e in self.job.case.entries):
            self.call_after_refresh(lambda: self._hear(self.job.case.title, tell_nothing=False))

    def paint(self) -> None:
        """What was told so far."""
        super().paint()
        first = "Say it all in one line and press Enter, or pick a line with the arrows. Esc when all is told."
        rows = [row("TELL", first)]
        rows += [row("TOLD" if at == 0 else "", words, "strong") for at, words in enumerate(self.told[-4:])]
        self.panel("card").show(rows)

    def deeds(self) -> Sequence[Deed]:
        """Tell, or go on to the first check."""
        return (
            Deed("enter", "tell it", self.do_pick, "tell the line under the cursor, or what was typed"),
            Deed("f3", "no, or not sure", self.do_other_answer, "answer the line under the cursor otherwise than yes"),
            Deed("esc", "that is all" if self.opening else "back", self.do_back, "go on with the job"),
            Deed("f2", "the car", self.do_car, "what is known of the car: pump, lines, regulator, fuel"),
            Deed("f1", "help", self.do_help, "what this screen is for"),
        )

    def search(self, text: str) -> None:
        """What these words may mean; without any, the usual complaints."""
        book = self.job.book
        if len(text.strip()) > 1:
            lines = [
                (f"{f.kind}:{f.id}", f"{one_line(f.title, 60)}   ({KIND_WORDS[f.kind]})") for f in find(book, text)
            ]
        else:
            rest = sorted((s.title, s.id) for s in book.signs.values() if s.symptom and s.id not in FREQUENT)
            names = [*(s for s in FREQUENT if s in book.signs), *(name for _, name in rest)]
            lines = [(f"sign:{name}", one_line(book.signs[name].title, 60)) for name in names]
        shown = self.query_one(List)
        shown.fill(lines or [("", "Nothing fits these words so far.")])
        shown.highlighted = None  # Enter takes a line only after somebody went to it

    def do_pick(self) -> None:
        """The line somebody went to with the arrows; else everything that was typed is heard."""
        chosen = self.query_one(List).chosen
        words = self.query_one("#words", Input).value
        if chosen:
            self._take(chosen)
        elif words.strip():
            self._hear(words, tell_nothing=True)
        else:
            self.tell("Type what is said, or go to a line with the arrows. Esc when all is told.")

    def _hear(self, words: str, tell_nothing: bool) -> None:
        """Everything these words mean, to be ticked before any of it is written down.

        An opening may go on, after a semicolon, with who is at the car, what is at hand and what the papers say.
        """
        if self.opening:
            words = self._without_people(words)
        hearing = self.desk.listener.hear(words, setting_of(self.job))
        if hearing.heard:
            self.app.push_screen(HeardScreen(self.job, hearing), self._heard)
        elif tell_nothing:
            self.tell("None of it was understood. Try fewer words, or go to a line with the arrows.", "care")

    def _without_people(self, words: str) -> str:
        """The complaint alone; what stands after the first semicolon is told as people, tools and papers."""
        complaint, rest = parted(words, self.job.case.unit_pressure)
        if not rest:
            return words
        found = tell_line(self.job, rest)
        self.told += [f"who is there, and the papers: {one_line(rest, 60)}"]
        if found.left:
            self.tell(found.left_words, "care")
        return complaint

    def _heard(self, taken: list[str] | None) -> None:
        if taken is None:
            return
        self.told += taken
        if not (self.opening and taken):
            self._done("")
        elif not warn(self.app, self.job, self.do_back):  # a stop rule is read before this screen goes
            self.dismiss()  # all was said in the first line; more can be told at any time

    def do_other_answer(self) -> None:
        """Another answer than yes to the line under the cursor."""
        kind, _, name = self.query_one(List).chosen.partition(":")
        if kind == "sign":
            self._tell_sign(name)
        else:
            self.tell("Go to a sign with the arrows first.")

    def _take(self, chosen: str) -> None:
        kind, _, name = chosen.partition(":")
        if kind == "sign" and not self.job.book.signs[name].choices:
            # Picking a complaint is telling it.
            self.job.answer_sign(name, "present", text=self.query_one("#words", Input).value)
            self._done(f"{self.job.book.signs[name].title}: yes")
        elif kind == "sign":
            self._tell_sign(name)
        elif kind == "reading":
            self._tell_reading(name)
        elif kind == "context":
            self._tell_context(name)
        elif kind == "cause":
            self._show_cause(name)

    def _done(self, words: str) -> None:
        self.told += [words] if words else []
        self.query_one("#words", Input).value = ""
        self.query_one("#words", Input).focus()
        self.search("")
        self.paint()
        warn(self.app, self.job, self.paint)

    def _tell_sign(self, name: str) -> None:
        sign = self.job.book.signs[name]
        answers = [(a.id, a.words) for a in sign.choices] or [("present", "yes"), ("absent", "no")]
        plain = [(f"{a}|", words) for a, words in answers]
        hedged = [(f"{a}|unsure", f"{words}, but not sure") for a, words in answers]
        heard = [(f"{a}|heard", f"{words}, heard from somebody else") for a, words in answers]
        rows = [row("ASK", sign.ask, "strong"), row("", sign.means)]

        def take(choice: str | None) -> None:
            if choice is None:
                return
            answer, _, mark = choice.partition("|")
            self.job.answer_sign(
                name, answer, sure="unsure" if mark == "unsure" else "sure",
                source="second hand" if mark == "heard" else "own eyes", text=self.query_one("#words", Input).value,
            )  # fmt: skip
            said = next(words for a, words in answers if a == answer)
            self._done(f"{sign.title}: {said}{f' ({mark})' if mark else ''}")

        self.app.push_screen(PickScreen(sign.title, [*plain, *hedged, *heard], rows), take)

    def _tell_reading(self, name: str) -> None:
        book = self.job.book
        kind = book.readings[name]
        lines = [(point.id, point.title) for point in points_of(book, name)]
        rows = [row("WHEN", f"{kind.title}: how was the car when it was read?")]

        def at(point: str | None) -> None:
            if point is not None:
                self._ask_value(name, point)

        self.app.push_screen(PickScreen(kind.title, lines, rows), at)

    def _ask_value(self, name: str, point: str) -> None:
        book, unit = self.job.book, self.job.case.unit_pressure
        task = Task("reading", "", "", name, point)
        rows = [row("ASK", book.readings[name].ask, "strong"), row("", book.points[point].how_taken)]

        gauge = book.points[point].gauge
        title = book.readings[name].title

        def take(text: str) -> None:
            self.job.take_reading(name, point, text, gauge=gauge)
            self._done(f"{title}, {book.points[point].title}: {one_line(text, 40)}")

        self.app.push_screen(
            LineScreen(
                title, rows, hint="43.5 psi", understood=lambda t: understood_rows(task, t, book, unit), take=take
            )
        )

    def _tell_context(self, name: str) -> None:
        context = self.job.book.contexts[name]

        def take(answer: str | None) -> None:
            if answer is not None:
                self.job.tell_car(name, answer)
                self._done(f"{context.title}: {answer or 'not known'}")

        lines = [("yes", "yes"), ("no", "no")]
        self.app.push_screen(PickScreen(context.title, lines, [row("ASK", context.ask, "strong")]), take)

    def _show_cause(self, name: str) -> None:
        self.app.push_screen(PageScreen(self.job.book.causes[name].title, cause_rows(name, self.job.book)))

    def do_car(self) -> None:
        """What is known of the car."""
        self.app.push_screen(CarScreen(self.job))


def points_of(book: RuleBook, reading: str) -> list[Point]:
    """The points at which some check takes this reading, the usual ones first."""
    used = [y.at for check in book.checks.values() for y in check.yields if y.reading == reading]
    order = list(book.points)
    names = dict.fromkeys(sorted(used, key=lambda at: (at not in USUAL, -used.count(at), order.index(at))))
    return [book.points[name] for name in names] or list(book.points.values())
