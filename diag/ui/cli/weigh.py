"""``diag weigh``: where a job stands, for people and for scripts."""

from __future__ import annotations

from pathlib import Path

from diag.casework.replay import standing
from diag.presentation.report.weighing import SCHEMA, weighing
from diag.presentation.report.weighing_text import weighing_text
from diag.support.errors import ExitCode
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.inputs import book_of, case_of, leave_numbers, take_over_numbers
from diag.ui.cli.output import deliver, json_text

CODES = """exit codes:
  0  settled: a remedy is proposed, nothing is wrong, or the job is closed
  2  bad input: the case or the rule book cannot be used
  3  not settled yet: the next check is named
  5  going on is unsafe: a stop rule answers to something found (wet fuel, fire, a pressure too high)
"""


def parser() -> Arguments:
    """The options."""
    found = Arguments("weigh", "Rank the causes of a case and name the next safe step, with its reason.", CODES)
    found.with_case().with_rules()
    found.add_argument("--json", action="store_true", help="as JSON, fields as documented in the README")
    found.add_argument("--explain", action="store_true", help="also what each entry says, readings beside predictions")
    found.add_argument("--schema", action="store_true", help="print the JSON Schema of --json, and end")
    found.add_argument("-o", "--output", type=Path, metavar="FILE", help="write to a file")
    return found


def run(arguments: list[str]) -> int:
    """Weigh one case."""
    options = parser().parse_args(arguments)
    if options.schema:
        deliver(json_text(SCHEMA), options.output)
        return ExitCode.DONE
    given = case_of(options)

    book = book_of(options)
    take_over_numbers(options, book)
    now = standing(given.case, book)  # lives to the end, since what it worked out is left for the next run
    told = weighing(now, given.remarks(book), options.explain)
    if options.json:
        deliver(json_text(told), options.output)
    else:
        deliver(weighing_text(told), options.output)
    leave_numbers(options, book)
    if told["unsafe"]:
        return ExitCode.UNSAFE
    return ExitCode.DONE if told["settled"] else ExitCode.UNDECIDED
