"""``diag desk``: design questions answered with their working."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from diag.design.answer import Answer
from diag.design.questions import QUESTIONS, Question, Units, ask, read_figure
from diag.fuelsystem.car import car_from_texts
from diag.fuelsystem.fields import FIELDS
from diag.presentation.report.desk_picture import curve_picture
from diag.presentation.report.desk_text import answer_lines
from diag.presentation.report.json_report import plain_value
from diag.support.errors import ExitCode, UnknownNameError, UserError
from diag.support.text import one_line
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.output import deliver, fold, json_text, say

SCHEMA_VERSION = 1
EXAMPLE = "example: diag desk return pump-flow='255 L/h' return-bore='6 mm' --what-if return-bore='8 mm'"
WIDTH = 78
PRESSURES = ("psi", "bar", "kPa")


def parser() -> Arguments:
    """The options."""
    found = Arguments("desk", "Answer a design question, with its working.", EXAMPLE)
    found.add_argument("question", nargs="?", help="one of the questions; without it they are listed")
    found.add_argument("figures", nargs="*", metavar="FIELD=VALUE", help="what is known; everything may be left out")
    found.add_argument(
        "--what-if", action="append", default=[], metavar="FIELD=VALUE", help="also answer with this figure instead"
    )
    found.add_argument("--unit", choices=PRESSURES, default="psi", help="unit of pressures (default psi)")
    found.add_argument("--no-plot", action="store_true", help="tell the curve in sentences instead of drawing it")
    found.add_argument("--svg", type=Path, metavar="FILE", help="write the curve as a picture")
    found.add_argument("--json", action="store_true", help="as JSON")
    found.add_argument("-o", "--output", type=Path, metavar="FILE", help="write the answer to a file")
    return found


def run(arguments: list[str]) -> int:
    """Answer one question, once or twice."""
    options = parser().parse_intermixed_args(arguments)

    if not options.question:
        say("\n".join(line for q in QUESTIONS.values() for line in _about(q)))
        return ExitCode.DONE
    if options.question not in QUESTIONS:
        raise UnknownNameError("desk question", one_line(options.question, 60), QUESTIONS)
    question = QUESTIONS[options.question]
    given = _pairs(options.figures)
    answers = [_answered(question, given, options.unit)]
    if options.what_if:
        answers.append(_answered(question, given | _pairs(options.what_if), options.unit))
    if options.svg:
        _picture(answers, options.svg, options.unit)
    if options.json:
        told = [
            _plain(answer, figures) for answer, figures in zip(answers, ({}, _pairs(options.what_if)), strict=False)
        ]
        deliver(json_text({"schema": SCHEMA_VERSION, "kind": "desk", "question": question.id, "answers": told}),
                options.output)  # fmt: skip
        return ExitCode.DONE

    units = {"pressure": options.unit}
    lines = answer_lines(answers[0], not options.no_plot, units, WIDTH)
    if len(answers) > 1:
        what = ", ".join(f"{name} = {value}" for name, value in _pairs(options.what_if).items())
        lines += [
            "",
            f"And with {one_line(what, 200)}:",
            "",
            *answer_lines(answers[1], not options.no_plot, units, WIDTH),
        ]
    deliver("\n".join(lines), options.output)
    return ExitCode.DONE


def _about(question: Question) -> list[str]:
    names = dict.fromkeys([*question.fields, *(extra.id for extra in question.extras)])
    return [f"{question.id}: {question.title}", *fold(", ".join(names), "    ", "    ")]


def _pairs(texts: Sequence[str]) -> dict[str, str]:
    """FIELD=VALUE texts as a table.

    Raises:
        UserError: one has no equals sign, or a field comes twice.
    """
    found: dict[str, str] = {}
    for text in texts:
        name, equals, value = (part.strip() for part in text.partition("="))
        if not equals or not name:
            raise UserError(f"{one_line(text, 80)!r} is no figure.", "Write FIELD=VALUE, such as return-bore='8 mm'.")
        if name in found:
            raise UserError(f"{one_line(name, 60)!r} is given twice.", "Give it once.")
        found[name] = value
    return found


def _answered(question: Question, given: dict[str, str], unit: str) -> Answer:
    extras = {extra.id: extra for extra in question.extras}
    for name in given:
        if name not in FIELDS and name not in extras:
            known = [*question.fields, *extras]
            raise UnknownNameError(f"figure for the question {question.id}", one_line(name, 60), known)
    # An extra that is also a field of the car (boost) is meant as the extra: the figure of this very moment.
    car = car_from_texts({name: text for name, text in given.items() if name not in extras}, unit, ())
    figures = {name: read_figure(extras[name], text, unit) for name, text in given.items() if name in extras}
    return ask(question.id, car, figures, Units(pressure=unit))


def _picture(answers: Sequence[Answer], to: Path, unit: str) -> None:
    curve = answers[-1].curve
    if curve is None:
        raise UserError("This question has no curve to draw.", "Leave --svg out.")
    deliver(curve_picture(curve, {"pressure": unit}), to)


def _plain(answer: Answer, what_if: dict[str, str]) -> dict[str, Any]:

    return {"what_if": what_if, **plain_value(asdict(answer))}
