"""Design questions: tell some figures, read the answer with its working, change one figure and see the difference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from textual.app import ComposeResult

from diag.design.questions import QUESTIONS, Answer, Question, ask, read_figure
from diag.fuelsystem.car import car_from_texts
from diag.fuelsystem.fields import CHOICE, FIELDS
from diag.presentation.pictures import ticks
from diag.quantities import to_unit
from diag.ui.tui.base import CardScreen
from diag.ui.tui.card import Part, Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.glyphs import Glyphs
from diag.ui.tui.panel import Panel
from diag.ui.tui.plot import Canvas
from diag.ui.tui.screens.car import understood_field
from diag.ui.tui.screens.lists import DetailScreen, List, PickScreen
from diag.ui.tui.screens.pages import LineScreen

PRESSURE = "psi"


@dataclass(frozen=True)
class FiguresTold:
    """What was told for a question: car fields and extra figures, as typed."""

    fields: dict[str, str]
    extras: dict[str, str]


def answer_to(question: Question, told: FiguresTold) -> Answer:
    """Ask the desk; raises UserError with what is wrong."""
    car = car_from_texts({k: v for k, v in told.fields.items() if v.strip()}, PRESSURE)
    given = {}
    for extra in question.extras:
        text = told.extras.get(extra.id, "")
        if text.strip():
            given[extra.id] = read_figure(extra, text, PRESSURE)
    return ask(question.id, car, given)


def _try(name: str, text: str) -> None:
    """Refuse a figure that no car has, while it can still be mended."""
    car_from_texts({name: text}, PRESSURE)


class DeskScreen(CardScreen[None]):
    """Pick a question."""

    heading = "Design questions"
    about: ClassVar[str] = "Pick a question, tell what is known of the car, and read the answer with its working."

    def __init__(self) -> None:
        super().__init__()
        self.told = FiguresTold({}, {})

    def body(self) -> ComposeResult:
        """The questions."""
        yield Panel([row("ASK", "Which question? What was told for one is kept for the next.")], id="card")
        yield List(id="list", compact=True, markup=False)

    def arrive(self) -> None:
        """Fill the list."""
        super().arrive()
        self.query_one(List).fill([(q.id, q.title) for q in QUESTIONS.values()])
        self.query_one(List).focus()

    def deeds(self) -> Sequence[Deed]:
        """Pick one."""
        return (Deed("enter", "this one", self.do_pick, "answer this question"), self.back_deed, self.help_deed)

    def do_pick(self) -> None:
        """Open the question."""
        name = self.query_one(List).chosen

        def keep(told: FiguresTold | None) -> None:
            if told is not None:
                self.told = told

        self.app.push_screen(QuestionScreen(QUESTIONS[name], self.told), keep)


class QuestionScreen(DetailScreen[FiguresTold | None]):
    """One question: figures above, answer below, renewed after every change."""

    about: ClassVar[str] = (
        "Enter tells the figure under the cursor; whatever stays unknown is reckoned over all cars there may be. The i "
        "key keeps this answer and tries one figure differently, both answers side by side. PgUp and PgDn scroll."
    )

    share = "half"

    def __init__(self, question: Question, told: FiguresTold) -> None:
        super().__init__()
        self.question = question
        self.told = told
        self.answer: Answer | None = None
        self.kept: tuple[str, Answer] | None = None
        self.heading = question.title

    def arrive(self) -> None:
        """Fill and ask."""
        super().arrive()
        self.query_one(List).focus()
        self._renew()

    def _renew(self) -> None:
        lines = [(f"field:{n}", f"{FIELDS[n].title:<34} {self.told.fields.get(n) or 'not known'}")
                 for n in self.question.fields]  # fmt: skip
        for extra in self.question.extras:
            usual = "not told" if extra.default is None else "the usual"
            lines.append((f"extra:{extra.id}", f"{extra.title:<34} {self.told.extras.get(extra.id) or usual}"))
        self.query_one(List).fill([(i, self.desk.glyphs.text(t)) for i, t in lines], keep=True)
        question, told = self.question, self.told
        self.panel("card").show([row("ANSWER", "working it out ...", "quiet")])
        self.in_background(lambda: answer_to(question, told), "answer")

    def found(self, group: str, result: Any) -> None:
        """Show the answer."""
        if isinstance(result, Answer):
            self.answer = result
            width = max(self.app.size.width - 12, 40)
            rows = answer_rows(result, self.desk.glyphs, width)
            if self.kept is not None:
                rows = [*what_if_rows(self.kept, result), *rows]
            self.panel("card").show(rows)

    def went_wrong(self, group: str, error: BaseException) -> None:
        """What cannot be is said where the answer would stand."""
        super().went_wrong(group, error)
        self.panel("card").show([])

    def deeds(self) -> Sequence[Deed]:
        """Tell, what if, scroll."""
        return (
            Deed("enter", "tell", self.do_tell_figure, "tell the figure under the cursor"),
            Deed("i", "what if", self.do_what_if, "keep this answer and change one figure beside it"),
            *self.scrolling("answer"),
            self.back_deed,
            self.help_deed,
        )

    def do_what_if(self) -> None:
        """Keep this answer and change one figure."""
        if self.answer is not None:
            self.kept = ("as told before", self.answer)
            self.do_tell_figure()

    def do_tell_figure(self) -> None:
        """Ask for the figure under the cursor."""
        kind, _, name = self.query_one(List).chosen.partition(":")
        if kind == "field":
            self._tell_field(name)
        elif kind == "extra":
            extra = next(e for e in self.question.extras if e.id == name)
            screen = LineScreen(
                extra.title, [row("ASK", extra.title)], self.told.extras.get(name, ""), may_be_empty=True
            )
            self.app.push_screen(screen, lambda text: self._told("extras", name, text))

    def _tell_field(self, name: str) -> None:
        spec = FIELDS[name]
        rows = [row("ASK", spec.ask, "strong"), row("", spec.words)]
        if spec.kind == CHOICE:
            lines = [*((c, c) for c in spec.choices), ("", "not known")]
            self.app.push_screen(PickScreen(spec.title, lines, rows), lambda text: self._told("fields", name, text))
            return
        screen = LineScreen(spec.title, rows, self.told.fields.get(name, ""), "leave empty for not known",
                            lambda text: understood_field(name, text, PRESSURE), may_be_empty=True,
                            take=lambda text: _try(name, text))  # fmt: skip
        self.app.push_screen(screen, lambda text: self._told("fields", name, text))

    def _told(self, part: str, name: str, text: str | None) -> None:
        if text is None:
            return
        old = self.told.fields if part == "fields" else self.told.extras
        new = {**old, name: text}
        self.told = replace(self.told, fields=new) if part == "fields" else replace(self.told, extras=new)
        self._renew()

    def do_back(self) -> None:
        """Back to the questions, with what was told."""
        self.dismiss(self.told)


def what_if_rows(kept: tuple[str, Answer], now: Answer) -> list[Row]:
    """Two answers one under the other."""
    label, before = kept
    rows = [row("BEFORE" if at == 0 else "", text, "quiet") for at, text in enumerate(before.results)]
    rows[:0] = [row("", f"({label})", "quiet")]
    return [*rows, row("NOW", now.verdict or "changed", "strong")]


def answer_rows(answer: Answer, glyphs: Glyphs, width: int) -> list[Row]:
    """An answer with cautions first, then results, picture, table, spread and working."""
    rows = [Row("CARE", (Part(text, "care"),), "care") for text in answer.cautions]
    if answer.verdict:
        rows.append(row("VERDICT", answer.verdict, "strong"))
    rows += [row("ANSWER" if at == 0 else "", text) for at, text in enumerate(answer.results)]
    rows += [row("SPREAD" if at == 0 else "", text) for at, text in enumerate(answer.uncertainty)]
    if answer.sharpen:
        names = ", ".join(FIELDS[f].title if f in FIELDS else f for f in answer.sharpen)
        rows.append(row("HELPS", f"Would narrow it most: {names}."))
    rows += _curve_rows(answer, glyphs, width)
    rows += _table_rows(answer)
    for at, step in enumerate(answer.working):
        rows.append(row("WORKING" if at == 0 else "", [Part(f"{step.what}: ", "strong"),
                        Part(f"{step.equation}; {step.values} ({step.source})")], hang=2))  # fmt: skip
    return rows


def _table_rows(answer: Answer) -> list[Row]:
    table = answer.table
    if table is None:
        return []
    widths = [max(len(cell) for cell in column) for column in zip(table.headings, *table.rows, strict=True)]
    lines = [table.headings, *table.rows]
    texts = [
        "  ".join(cell.ljust(w) for cell, w in zip(line, widths, strict=True)).replace(" ", "\xa0") for line in lines
    ]
    return [row("TABLE" if at == 0 else "", text, "strong" if at == 0 else "") for at, text in enumerate(texts)]


def _curve_rows(answer: Answer, glyphs: Glyphs, width: int) -> list[Row]:
    curve = answer.curve
    if curve is None or len(curve.x) < 2:
        return []
    x_unit = PRESSURE if curve.x_kind == "pressure" else ""
    y_unit = PRESSURE if curve.y_kind == "pressure" else ""
    xs = [to_unit(v, curve.x_kind, x_unit) for v in curve.x]
    middle, low, high = (
        [to_unit(v, curve.y_kind, y_unit) for v in part] for part in (curve.middle, curve.low, curve.high)
    )
    levels = [(name, to_unit(v, curve.y_kind, y_unit)) for name, v in curve.levels]
    ys = [*middle, *low, *high, *(v for _, v in levels)]
    canvas = Canvas(ticks(min(xs), max(xs), 5), ticks(min(ys), max(ys), 5), min(width, 72), 12, glyphs)
    for _, level in levels:
        for column in range(canvas.width):
            canvas.put(canvas.value_at(column), level, glyphs.rule)
    for x, m, lo, hi in zip(xs, middle, low, high, strict=True):
        canvas.put(x, lo, glyphs.band)
        canvas.put(x, hi, glyphs.band)
        canvas.put(x, m, glyphs.dot)
    for name, x_si, y_si in curve.marks:
        canvas.put(to_unit(x_si, curve.x_kind, x_unit), to_unit(y_si, curve.y_kind, y_unit), f"x {name}", False)
    rows = [row("PICTURE", f"{curve.title}: {curve.y_title} {y_unit} over {curve.x_title} {x_unit}".strip())]
    rows += [row("", line.replace(" ", "\xa0")) for line in canvas.lines()]
    return [*rows, *(row("", f"{glyphs.rule * 3} {name}", "quiet") for name, _ in levels)]
