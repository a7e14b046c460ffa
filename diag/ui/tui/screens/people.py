"""Who is at the car, whether they are on the telephone, and what they have: the wall and the wording follow it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult

from diag.casework.entries import PersonTold
from diag.rulebook.steps import PERSONS, Person
from diag.safety.situation import HELPER
from diag.session.job import Job
from diag.session.people import tell_line
from diag.ui.tui.base import CardScreen
from diag.ui.tui.card import row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Panel
from diag.ui.tui.screens.lists import List
from diag.ui.tui.screens.pages import LineScreen
from diag.ui.tui.wording import PERSON_WORDS

USUAL_KIT = ("pressure-gauge", "multimeter", "hose-clamp", "hand-vacuum-pump", "hand-tools", "torch", "container")


SUCH_AS = "hobbyist with a helper, no gauge; petrol, target 43.5 psi, return 8 mm"


def one_line_screen(job: Job, say: Callable[[str, str], None]) -> LineScreen:
    """A line for people, tools and papers; what of it was not taken is named, and kept as it was said."""

    def take(text: str) -> None:
        told = tell_line(job, text)
        words = [*(["People and tools written down."] if told.people else []), *told.refused]
        words += [f"Of the car: {'; '.join(told.papers)}."] if told.papers else []
        say(" ".join([*words, told.left_words]).strip(), "care" if told.left or told.refused else "good")

    rows = [
        row("TELL", "Who is at the car, what is at hand or not, and what the car's papers say."),
        row("", "Any part may be left out. Tools named with 'only', or beside a missing one, are all there are."),
    ]
    return LineScreen("In one line", rows, hint=SUCH_AS, take=take)


class PeopleScreen(CardScreen[None]):
    """Person, place and tools."""

    heading = "Who is at the car, and what do they have?"
    about: ClassVar[str] = (
        "Digits say who is at the car. Space ticks the line under the cursor, [r] says that nothing else is here, [t] "
        "tells it all in one line. What this person may not do is never proposed, nor what takes two where nobody can "
        "help. A missing tool makes a check dearer instead of forbidding it. Enter takes it all."
    )

    def __init__(self, job: Job) -> None:
        super().__init__()
        self.job = job
        self.touched: set[str] = set()
        self._as_told()

    def _as_told(self) -> None:
        """Person, ticks and tools as they stand in the case."""
        job = self.job
        told = [e for e in job.case.effective() if isinstance(e, PersonTold)]
        last = told[-1] if told else None
        self.person: Person = last.person if last else "mechanic"
        self.flags = {
            "phone": last.by_phone if last else False,
            "helper": last.second_person if last else False,
            "aired": last.ventilated if last else True,
        }
        everything = tuple(job.book.tools)
        self.tools = set(everything if last is None or last.tools is None else last.tools)

    def body(self) -> ComposeResult:
        """Persons above, ticks below."""
        yield Panel(id="card")
        yield List(id="list", compact=True, markup=False)

    def arrive(self) -> None:
        """Fill the list."""
        super().arrive()
        self._fill()
        self.query_one(List).focus()

    def paint(self) -> None:
        """Show who it is."""
        super().paint()
        lines = []
        for at, person in enumerate(PERSONS, 1):
            mark = "(x)" if person == self.person else "( )"
            lines.append(row("WHO" if at == 1 else "", f"{at}. {mark} {PERSON_WORDS[person]}",
                             "strong" if person == self.person else ""))  # fmt: skip
        self.panel("card").show(lines)

    def _lines(self) -> list[tuple[str, str]]:
        def box(on: bool) -> str:
            return "[x]" if on else "[ ]"

        flags = (("phone", "on the telephone"), ("helper", "a second person is there"),
                 ("aired", "outdoors, or the room is aired"))  # fmt: skip
        usual = [name for name in USUAL_KIT if name in self.job.book.tools]
        tools = [*usual, *(name for name in self.job.book.tools if name not in usual)]
        return [
            *((name, f"{box(self.flags[name])} {words}") for name, words in flags),
            ("all", f"{box(self.tools >= set(tools))} every tool in the list"),
            *((f"tool:{name}", f"{box(name in self.tools)} {self._has(name)}") for name in tools),
        ]

    def _has(self, tool: str) -> str:
        return "somebody can be called to help" if tool == HELPER else f"has {self.job.book.tools[tool]}"

    def _fill(self) -> None:
        self.query_one(List).fill(self._lines(), keep=True)

    def deeds(self) -> Sequence[Deed]:
        """Who, ticks, take it."""
        return (
            *(Deed(str(at), person, partial(self.do_person, person), PERSON_WORDS[person], at < 5)
              for at, person in enumerate(PERSONS, 1)),
            Deed("space", "tick", self.do_tick, "tick the line under the cursor, or take the tick off"),
            Deed("r", "nothing else", self.do_rest, "the tools that were not ticked by hand are not here"),
            Deed("t", "one line", self.do_line, "tell it all in one line, with what the papers say"),
            Deed("enter", "take it", self.do_take, "take all this"),
            Deed("esc", "leave it", self.do_back, "leave it as it was"),
            self.help_deed,
        )  # fmt: skip

    def do_person(self, person: str) -> None:
        """Who it is."""
        self.person = next(p for p in PERSONS if p == person)
        self.paint()

    def do_tick(self) -> None:
        """Tick the line under the cursor."""
        name = self.query_one(List).chosen
        if name in self.flags:
            self.flags[name] = not self.flags[name]
        elif name == "all":
            everything = set(self.job.book.tools)
            self.tools = set() if self.tools >= everything else everything
        elif name.startswith("tool:"):
            self.tools ^= {name.removeprefix("tool:")}
            self.touched.add(name.removeprefix("tool:"))
        self._fill()

    def do_rest(self) -> None:
        """One key for the rest: only what was ticked by hand is here."""
        self.tools &= self.touched
        self._fill()

    def do_line(self) -> None:
        """People, tools and papers in one line."""

        def told(text: str | None) -> None:
            if text is not None:
                self._as_told()
                self.paint()
                self._fill()

        self.app.push_screen(one_line_screen(self.job, self.tell), told)

    def do_take(self) -> None:
        """Write it into the case."""
        kit = None if self.tools >= set(self.job.book.tools) else sorted(self.tools)
        self.job.tell_person(
            self.person, by_phone=self.flags["phone"], second_person=self.flags["helper"],
            ventilated=self.flags["aired"], tools=kit,
        )  # fmt: skip
        self.dismiss()
