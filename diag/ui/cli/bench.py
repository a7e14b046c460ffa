"""``diag bench``: speed and agreement, beside general-purpose libraries where they are installed."""

from __future__ import annotations

import math
from dataclasses import asdict
from pathlib import Path

from diag.evaluation.bench import Row, bench
from diag.evaluation.solver_bench import solver
from diag.evaluation.whole_process import whole_process
from diag.rulebook.load import load_book
from diag.rulebook.where import cases_folder, rules_folder
from diag.support.errors import ExitCode
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.output import json_text, remark, say, table

KEYS = 200
EPILOG = """\
Nothing here is a timed test: the figures depend on the machine and on what else it does. The libraries that figures are
set beside (pyAgrum, SciPy) are test dependencies; without them their column stays empty."""


def parser() -> Arguments:
    """The options."""
    found = Arguments("bench", "Measure speed and accuracy beside general-purpose libraries.", EPILOG)
    found.add_argument("--rules", type=Path, help="another rule book than the one in use")
    found.add_argument("--only", choices=("engine", "physics", "process", "screen"), help="one group of figures")
    found.add_argument("--json", action="store_true", help="as JSON")
    return found


def run(arguments: list[str]) -> int:
    """Print one line a figure."""
    options = parser().parse_args(arguments)

    rows: list[Row] = []
    if options.only in (None, "engine"):
        remark("Measuring the engine ...")
        rows += bench(options.rules or rules_folder())
    if options.only in (None, "physics"):
        remark("Measuring the fuel-system model ...")
        rows += solver()
    if options.only in (None, "process"):
        remark("Measuring whole processes ...")
        rows += whole_process(next(iter(sorted(cases_folder().glob("*-*.yaml"))), None))
    if options.only in (None, "screen"):
        remark("Measuring the screens ...")
        rows += _screens(options.rules or rules_folder())
    if options.json:
        say(json_text({"schema": 1, "kind": "bench", "figures": [_plain(row) for row in rows]}))
    else:
        shown = [(row.name, _figure(row.ours), _figure(row.peer), row.unit, row.note) for row in rows]
        say("\n".join(table(("figure", "ours", "library", "unit", "note"), shown)))
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
            Row(f"{name}: 95th percentile", found.percentile(0.95), math.nan, "ms"),
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


def _figure(value: float) -> str:
    return "" if math.isnan(value) else f"{value:.3g}"


def _plain(row: object) -> dict[str, object]:
    return {
        key: None if isinstance(value, float) and math.isnan(value) else value
        for key, value in asdict(row).items()  # type: ignore[call-overload]
    }
