"""``diag learn``: closed and proven jobs into frequencies, to be reviewed, switched off and undone."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path

from diag.casework.keeping import JobStore
from diag.desk.address import is_address
from diag.desk.server import ServerStore
from diag.evaluation.hindsight import calibration, seen
from diag.evaluation.learning import STRENGTH, learnt, switched, undone
from diag.evaluation.overlay_file import overlay_file, read_overlay, write_overlay
from diag.presentation.report.json_report import plain_value
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.session.clock import stamp, system_clock
from diag.support.disk.files import read_text, write_atomic
from diag.support.errors import ExitCode, UserError
from diag.support.text import one_line
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.inputs import on_all_cores, store_at, where_of
from diag.ui.cli.output import json_text, remark, say, table
from diag.ui.cli.overlay_words import SCHEMA_VERSION, review
from diag.ui.cli.team_learn import learn_on_server


def parser() -> Arguments:
    """The options."""
    found = Arguments(
        "learn",
        "Count the causes of closed and proven jobs, as a file of its own on top of the rule book.",
        "The file only counts where it is named: diag weigh FILE --learnt overlay.yaml",
    )
    found.add_argument("jobs", nargs="?", type=Path, metavar="FOLDER", help="folder of jobs to learn from")
    found.add_argument(
        "-o", "--output", type=Path, metavar="FILE", help="the file (default: learnt.yaml beside FOLDER)"
    )
    found.add_argument("--rules", type=Path, metavar="FOLDER", help="another rule book than the one in use")
    found.add_argument("--strength", type=float, metavar="JOBS", help="how many jobs the book itself weighs (200)")
    deed = found.add_mutually_exclusive_group()
    deed.add_argument("--review", action="store_true", help="show what the file changes, and count nothing anew")
    deed.add_argument("--off", action="store_true", help="switch the file off")
    deed.add_argument("--on", action="store_true", help="switch it on again")
    deed.add_argument("--undo", action="store_true", help="go back to the counts before the last ones")
    deed.add_argument("--look-back", action="store_true", help="how true past predictions were, and what came most")
    deed.add_argument("--versions", action="store_true", help="on a team's server: what was proposed and approved")
    deed.add_argument("--approve", type=int, metavar="N", help="on a team's server: version N counts for everybody")
    found.with_store()
    found.add_argument("--json", action="store_true", help="with --review or --look-back: as JSON")
    return found


def run(arguments: list[str]) -> int:
    """Count, show, switch or undo."""
    options = parser().parse_args(arguments)

    store = None if options.jobs is not None else _team(options)
    if store is not None:
        if options.look_back:
            return _look_back(store, load_book(options.rules or rules_folder()), options.json)
        return learn_on_server(options, store, load_book(options.rules or rules_folder()))
    if options.versions or options.approve is not None:
        raise UserError("Only a team's server keeps versions.", "--store postgresql://HOST/NAME, or set DIAG_STORE.")
    if options.jobs is None and options.output is None:
        raise UserError("Name the folder of jobs.", "diag learn FOLDER, or -o FILE to look at an overlay.")
    if options.jobs is not None and not options.jobs.is_dir():
        raise UserError(f"There is no folder {one_line(str(options.jobs), 200)!r}.", "Give the folder of jobs.")
    if options.strength is not None and not 1.0 <= options.strength <= 1e6:
        raise UserError("The strength of the book must lie between 1 and 1000000 jobs.", "Leave it out for 200.")
    path: Path = options.output or overlay_file(options.jobs.resolve())
    book = load_book(options.rules or rules_folder())
    old = read_overlay(read_text(path), str(path)) if path.exists() else None
    if options.look_back:
        if options.jobs is None:
            raise UserError("Name the folder of jobs.", "diag learn FOLDER --look-back")
        return _look_back(_folder(options.jobs), book, options.json)
    if options.review or options.off or options.on or options.undo:
        if old is None:
            raise UserError("There is no overlay yet.", "Make one: diag learn FOLDER", one_line(str(path), 300))
        if options.review:
            review(old, book, options.json)
            return ExitCode.DONE
        new = undone(old) if options.undo else switched(old, bool(options.on))
        if new is None:
            raise UserError("There is nothing to go back to.", "Switch it off instead: --off")
    else:
        if options.jobs is None:
            raise UserError("Name the folder of jobs.", "diag learn FOLDER -o FILE")
        made = stamp(system_clock())
        strength = options.strength or (old.strength if old else STRENGTH)
        new = learnt(_folder(options.jobs).lessons(book), book, made, old, strength)
    write_atomic(path, write_overlay(new))
    review(new, book, False)
    remark(f"Written: {path}")
    return ExitCode.DONE


def _folder(folder: Path) -> JobStore:
    """The jobs of a folder."""
    return on_all_cores(store_at(folder))


def _team(options: argparse.Namespace) -> ServerStore | None:
    """The team's server, when the options or DIAG_STORE name one."""
    options.folder = None
    where = where_of(options, must_exist=False)
    if options.store and not is_address(str(where)):
        options.jobs = Path(where)
    return store_at(where) if is_address(str(where)) and options.output is None else None  # type: ignore[return-value]


def _look_back(store: JobStore, book: RuleBook, as_json: bool) -> int:
    """Calibration and counts of all jobs."""
    jobs = list(store.summaries())
    told, most = calibration(jobs, book), seen(jobs)
    if as_json:
        say(json_text({"schema": SCHEMA_VERSION, "kind": "look back", "calibration": plain_value(asdict(told)),
                       "seen": plain_value(asdict(most))}))  # fmt: skip
        return ExitCode.DONE
    say(f"{most.jobs} jobs: {', '.join(f'{n} {status}' for status, n in most.statuses)}.")
    if not told.jobs:
        say("No job has both a ranking written before the repair and a proven outcome yet.")
    else:
        say(
            f"{told.jobs} jobs with a ranking written before the repair and a proven outcome: the first was right in "
            f"{100 * told.first_right:.0f} %, mean gap between said and true {100 * told.miss:.1f} points."
        )
        rows = [(f"{100 * b.low:.0f} to {100 * b.high:.0f} %", str(b.predictions), f"{100 * b.said:.1f} %",
                 f"{100 * b.was:.1f} %", f"{100 * b.from_share:.0f} to {100 * b.to_share:.0f} %")
                for b in told.bins]  # fmt: skip
        say("\n".join(["", *table(("said", "times", "said on average", "came true", "95 % interval"), rows)]))
    causes = [
        (str(n), str(proven), book.causes[c].title if c in book.causes else c) for c, n, proven in most.causes[:10]
    ]
    if causes:
        say("\n".join(["", *table(("named", "proven", "cause"), causes)]))
    return ExitCode.DONE
