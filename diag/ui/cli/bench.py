"""``diag bench``: speed and agreement, beside general-purpose libraries where they are installed."""

from __future__ import annotations

import math
from pathlib import Path

from diag.evaluation.bench import Row, bench
from diag.evaluation.figures import as_plain, kept_figures, table_of, verdict
from diag.evaluation.solver_bench import solver
from diag.evaluation.whole_process import RUNS, whole_process
from diag.rulebook.load import load_book
from diag.rulebook.where import cases_folder, rules_folder
from diag.support.disk.files import read_text
from diag.support.errors import ExitCode
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.output import json_text, remark, say, table

KEYS = 200
KEY = 50.0  # ms
EPILOG = """\
Nothing here is a timed test: the figures depend on the machine and on what else it does. The libraries that figures are
set beside (pyAgrum, SciPy) are test dependencies; without them their column stays empty. A bar is meant for two idle
cores; figures of the shipped book are processor time. To compare two builds: diag bench --json > FILE with the one,
diag bench --against FILE with the other."""


def parser() -> Arguments:
    """The options."""
    found = Arguments("bench", "Measure speed and accuracy, beside their bars and general-purpose libraries.", EPILOG)
    found.add_argument("--rules", type=Path, help="another rule book than the one in use")
    found.add_argument("--only", choices=("engine", "physics", "process", "screen"), help="one group of figures")
    found.add_argument("--short", action="store_true", help="the figures with a bar, one run each: half a minute")
    found.add_argument("--json", action="store_true", help="as JSON, to be kept")
    found.add_argument("--against", type=Path, metavar="FILE", help="beside figures that another build left as JSON")
    return found


def run(arguments: list[str]) -> int:
    """Print one line a figure."""
    options = parser().parse_args(arguments)
    before = kept_figures(read_text(options.against), str(options.against)) if options.against else None
    rows: list[Row] = []
    if options.only in (None, "engine"):
        remark("Measuring the engine ...")
        rows += bench(options.rules or rules_folder(), options.short)
    if options.only == "physics" or (options.only is None and not options.short):
        remark("Measuring the fuel-system model ...")
        rows += solver()
    if options.only in (None, "process"):
        remark("Measuring whole processes ...")
        case = next(iter(sorted(cases_folder().glob("*-*.yaml"))), None)
        rows += whole_process(case, 1 if options.short else RUNS)
    if options.only == "screen" or (options.only is None and not options.short):
        remark("Measuring the screens ...")
        rows += _screens(options.rules or rules_folder())
    if options.json:
        say(json_text(as_plain(rows)))
    else:
        heads, lines = table_of(rows, before)
        say("\n".join(table(heads, lines)))
        say(verdict(rows))
    return ExitCode.DONE


def _screens(rules: Path) -> list[Row]:
    """Key to repaint over a scripted job, at the two sizes that the screens are drawn for."""
    # the screen library, only while the screens are measured
    from diag.ui.tui.latency import key_latency

    book = load_book(rules)
    rows = []
    for size in ((80, 24), (120, 40)):
        found = key_latency(book, KEYS, size)
        name = f"key to repaint, {KEYS} keys, {size[0]}x{size[1]}"
        rows += [
            Row(f"{name}: 95th percentile", found.percentile(0.95), math.nan, "ms", bar=KEY),
            Row(f"{name}: the same, processor time", found.percentile(0.95, processor=True), math.nan, "ms"),
            Row(
                f"{name}: memory of the process",
                found.memory,
                math.nan,
                "MB",
                "largest resident size, measuring included",
            ),
        ]
    return rows
