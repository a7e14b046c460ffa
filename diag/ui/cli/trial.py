"""``diag trial``: how good the rule book and the engine are on simulated jobs."""

from __future__ import annotations

import hashlib
import time
from argparse import Namespace
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from diag.evaluation.optimum import compare_parts, optimum_text
from diag.evaluation.orders import ORDERS
from diag.evaluation.separable import separation_text, separations
from diag.evaluation.told_at_once import rank_all, told_at_once_data, told_at_once_text
from diag.evaluation.trial import Figures, TrialOutcome, TrialPlan, figures, run_trials
from diag.evaluation.trial_report import as_data, comparison_text, missed, trial_text
from diag.evaluation.trial_state import TrialState
from diag.evaluation.walks import run_walks, walks_text
from diag.inference.posterior import NOTHING_WRONG
from diag.rulebook.cached import key_of
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.simulation.scenario import WrittenCase
from diag.simulation.written_reader import read_written
from diag.support.errors import ExitCode, UserError
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.output import Progress, deliver, json_text

EPILOG = """The figures say what the engine makes of jobs drawn from a rule book; they are no proof about real cars.
exit codes: 0 done, 2 bad input, 5 a forbidden step was proposed
"""


def parser() -> Arguments:
    """The options."""
    found = Arguments(
        "trial", "Work simulated jobs to their end and say how often and how fast they are solved.", EPILOG
    )
    found.with_rules()
    found.add_argument("--jobs", type=int, metavar="N", help="number of jobs (default 200, or each written case once)")
    found.add_argument(
        "--generator", choices=("own", "stressed", "written"), default="own",
        help="own: the world follows the book; stressed: links, answers and cars differ from it; "
             "written: hand-written cases, answered as written and by a hidden car where they are silent",
    )  # fmt: skip
    found.add_argument("--tools", choices=("full", "lean", "phone", "mixed"),
                       help="who is at the car, with what (default full; a written case says so itself)")  # fmt: skip
    found.add_argument("--cases", type=Path, metavar="FOLDER", help="written: the cases (default ./cases)")
    found.add_argument("--expected", type=Path, metavar="FILE",
                       help="written: what the trade expects of them (./tests/cases/expected.yaml)")  # fmt: skip
    found.add_argument("--told-at-once", action="store_true",
                       help="written: no jobs; each case ranked with all that it tells")  # fmt: skip
    found.add_argument("--by-the-sheet", action="store_true",
                       help="written: where a case is silent, no hidden car answers")  # fmt: skip
    found.add_argument("--apart", action="store_true",
                       help="written: only the cases whose figures do not come from the fuel-system model")  # fmt: skip
    found.add_argument("--orders", default="engine", metavar="LIST",
                       help="orders to compare: engine, flowchart, cheapest, ratio, random, or all")  # fmt: skip
    found.add_argument("--by-cause", type=int, metavar="N",
                       help="no jobs: N cars with each cause and the answer to every check; shows what the rules "
                            "cannot tell apart")  # fmt: skip
    found.add_argument("--causes", metavar="LIST", help="with --by-cause: only these, or nothing-wrong")
    found.add_argument("--optimum", type=int, metavar="N",
                       help="no jobs: on N parts of the rules small enough to be solved exactly, the engine's order "
                            "against the best one")  # fmt: skip
    found.add_argument("--walks", type=int, metavar="N",
                       help="no jobs: N proposals on random walks, to see whether the safety wall can be talked into "
                            "something; beliefs and answers are drawn at random")  # fmt: skip
    found.add_argument("--go-on", type=Path, metavar="FILE",
                       help="keep what is worked in FILE; a trial that was stopped goes on from there when it is "
                            "said again")  # fmt: skip
    found.add_argument("--seed", type=int, default=1)
    found.add_argument("--workers", type=int, default=0, metavar="N", help="processes (default: one per core)")
    found.add_argument("--json", action="store_true", help="as JSON")
    found.add_argument("-o", "--output", type=Path, metavar="FILE", help="write to a file")
    return found


def _written(options: Namespace, book: RuleBook) -> tuple[WrittenCase, ...]:
    """The written cases to work; none for the other generators."""
    if options.generator != "written":
        of_written = (options.cases, options.expected, options.told_at_once, options.apart, options.by_the_sheet)
        if any(of_written):
            raise UserError(
                "--cases, --expected, --told-at-once, --apart and --by-the-sheet are for written cases.",
                "Say --generator written with them.",
            )
        return ()
    if options.tools is not None:
        raise UserError("A written case says itself who is at the car and with what.", "Leave out --tools.")

    places = (options.cases or Path("cases"), options.expected or Path("tests/cases/expected.yaml"))
    for told, place, option in zip((options.cases, options.expected), places, ("--cases FOLDER", "--expected FILE"),
                                   strict=True):  # fmt: skip
        if told is None and not place.exists():
            raise UserError(f"There is no {place} here.", f"Say {option}.")
    found = read_written(*places, book)
    return tuple(case for case in found if case.apart) if options.apart else found


def _by_cause(options: Namespace) -> int:
    """Every check answered, cause by cause."""
    if not 1 <= options.by_cause <= 10_000:
        raise UserError(f"--by-cause {options.by_cause}: that is no useful number of cars.", "Say 1 to 10000.")
    folder = options.rules or rules_folder()
    book = load_book(folder)
    names = [n.strip() for n in options.causes.split(",")] if options.causes else [*book.causes, NOTHING_WRONG]
    found = separations(folder, book, names, options.by_cause, options.seed, options.workers or None, Progress())
    if options.json:
        deliver(json_text({name: vars(s) for name, s in found.items()}), options.output)
    else:
        deliver(separation_text(found, book), options.output)
    return ExitCode.DONE


def _optimum(options: Namespace) -> int:
    """The engine's order against the best one."""
    if not 1 <= options.optimum <= 1000:
        raise UserError(f"--optimum {options.optimum}: that is no useful number of parts.", "Say 1 to 1000.")
    folder = options.rules or rules_folder()
    found = compare_parts(folder, options.optimum, options.seed, options.workers or None, Progress())
    if options.json:
        deliver(json_text({"parts": [{**vars(c), "excess": c.excess} for c in found]}), options.output)
    else:
        deliver(optimum_text(found), options.output)
    return ExitCode.DONE


def _told_at_once(options: Namespace, written: tuple[WrittenCase, ...], folder: Path) -> int:
    """Every written case ranked with all that it tells."""
    ranked = rank_all(written, folder, options.workers or None, Progress())
    if options.json:
        deliver(json_text(told_at_once_data(ranked)), options.output)
    else:
        deliver(told_at_once_text(ranked), options.output)
    return ExitCode.DONE


def _walks(options: Namespace) -> int:
    """Proposals on random walks, looked at by the auditor."""
    if not 1 <= options.walks <= 10_000_000:
        raise UserError(f"--walks {options.walks}: that is no useful number.", "Say 1 to 10000000.")
    start = time.perf_counter()
    found = run_walks(options.rules or rules_folder(), options.walks, options.seed, options.workers or None, Progress())
    if options.json:
        deliver(json_text({"proposals": dict(found.proposals), "forbidden": list(found.forbidden)}), options.output)
    else:
        deliver(walks_text(found, time.perf_counter() - start), options.output)
    return ExitCode.UNSAFE if found.forbidden else ExitCode.DONE


PROGRAM = ("rulebook", "fuelsystem", "quantities", "support", "inference", "safety", "decision", "casework", "hearing",
           "presentation", "simulation", "evaluation")  # fmt: skip


def _state(options: Namespace, plans: Sequence[TrialPlan], folder: Path) -> TrialState:
    """The file of a trial that may be stopped, bound to all that its jobs follow from."""
    cases = [options.cases or Path("cases"), options.expected or Path("tests/cases/expected.yaml")]
    told = sorted(path for place in cases for path in (place.glob("*.yaml") if place.is_dir() else [place]))
    texts = [path.read_bytes() for path in told if path.is_file()] if plans[0].generator == "written" else []
    digest = hashlib.sha256(b"\0".join(texts)).hexdigest()
    of = {"plans": [asdict(plan) for plan in plans], "apart": options.apart, "cases": digest}
    return TrialState(options.go_on, of | {"rules and program": key_of(folder, PROGRAM)})


def _run(
    plans: Sequence[TrialPlan],
    folder: Path,
    options: Namespace,
    written: tuple[WrittenCase, ...],
    state: TrialState | None,
) -> list[TrialOutcome]:
    """All trials; whoever interrupts them hears where they can go on."""
    try:
        return run_trials(plans, folder, options.workers or None, Progress(), written, state)
    except KeyboardInterrupt as error:
        if state is not None:
            kept = sum(len(worked) for worked in state.pieces.values())
            error.add_note(f"{kept} jobs are kept in {state.path}; the same command goes on from there.")
        raise


def run(arguments: list[str]) -> int:
    """Run one trial, or several orders on the same jobs."""
    options = parser().parse_args(arguments)
    if options.optimum is not None:
        return _optimum(options)
    if options.by_cause is not None:
        return _by_cause(options)
    if options.walks is not None:
        return _walks(options)
    if options.causes is not None:
        raise UserError("--causes names the causes of --by-cause.", "Say --by-cause N with it.")

    if options.jobs is not None and not 1 <= options.jobs <= 1_000_000:
        raise UserError(f"--jobs {options.jobs}: that is no useful number of jobs.", "Say a number from 1 to 1000000.")
    names = list(ORDERS) if options.orders == "all" else [n.strip() for n in options.orders.split(",")]
    for name in names:
        if name not in ORDERS:
            raise UserError(f"--orders {name}: there is no such order.", f"Say some of: {', '.join(ORDERS)}, or all.")
    folder = options.rules or rules_folder()
    book = load_book(folder)
    written = _written(options, book)
    if options.told_at_once:
        return _told_at_once(options, written, folder)
    jobs = options.jobs or len(written) or 200
    tools = "as told" if written else options.tools or "full"
    plan = TrialPlan(jobs, options.generator, tools, names[0], options.seed, by_the_sheet=options.by_the_sheet)
    data: dict[str, Any] = {}
    found: dict[str, Figures] = {}
    parts: list[str] = []
    plans = [replace(plan, order=name, ceilings=name == "engine") for name in names]
    state = _state(options, plans, folder) if options.go_on is not None else None
    for outcome in _run(plans, folder, options, written, state):
        name = outcome.plan.order
        found[name] = figures(outcome, book)
        data[name] = as_data(found[name]) | ({"missed": missed(outcome)} if written else {})
        parts.append(trial_text(outcome, found[name], book))
    if len(names) > 1:
        parts.append(comparison_text(found))
    if options.json:
        deliver(json_text(data), options.output)
    else:
        deliver("\n\n\n".join(parts), options.output)
    return ExitCode.UNSAFE if any(f.forbidden for f in found.values()) else ExitCode.DONE
