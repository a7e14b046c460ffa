"""``diag learn`` on a team's server: counted there, proposed, reviewed, approved by who may."""

from __future__ import annotations

import argparse
import os
from datetime import UTC

from diag.desk import frequencies
from diag.desk.server import ServerStore
from diag.evaluation.learning import STRENGTH, learnt
from diag.evaluation.overlay_file import read_overlay, write_overlay
from diag.rulebook.model import RuleBook
from diag.session.clock import stamp, system_clock
from diag.support.errors import ExitCode, UserError
from diag.support.text import one_line
from diag.ui.cli.output import remark, say, table
from diag.ui.cli.overlay_words import review


def learn_on_server(options: argparse.Namespace, store: ServerStore, book: RuleBook) -> int:
    """Count, list, show, or decide what is in use."""
    who = str(os.environ.get("DIAG_WHO", "") or os.environ.get("USER", "") or store.who)
    run = store.link.run
    if options.versions:
        _versions(store)
    elif options.approve is not None or options.off or options.on or options.undo:
        _decide(options, store, who)
    elif options.review:
        number = run(frequencies.newest)
        if number is None:
            raise UserError("Nothing was proposed yet.", "Count first: diag learn --store ADDRESS")
        state = f"version {number}, {'in use' if number == run(frequencies.in_use) else 'not in use'}"
        review(read_overlay(run(lambda line: frequencies.overlay_of(line, number))), book, options.json, state)
    else:
        _propose(options, store, book, who)
    return ExitCode.DONE


def _propose(options: argparse.Namespace, store: ServerStore, book: RuleBook, who: str) -> None:
    made = stamp(system_clock())
    overlay = learnt(store.lessons(book), book, made, None, options.strength or STRENGTH)
    number = store.link.run(lambda line: frequencies.propose(line, write_overlay(overlay), who))
    review(overlay, book, False, f"version {number}, proposed")
    remark(f"Proposed as version {number}; it counts once approved: diag learn --store ... --approve {number}")


def _versions(store: ServerStore) -> None:
    rows = [
        (str(v.number), one_line(v.proposed_by, 30), v.proposed_at.astimezone(UTC).strftime("%Y-%m-%d %H:%M"),
         one_line(v.approved_by, 30), "in use" if v.in_use else "")
        for v in store.link.run(frequencies.versions)
    ]  # fmt: skip
    say("\n".join(table(("version", "proposed by", "at", "approved by", ""), rows)) if rows else "No version yet.")
    if not any(row[-1] for row in rows):
        say("The rule book alone counts.")


def _decide(options: argparse.Namespace, store: ServerStore, who: str) -> None:
    run = store.link.run
    if options.approve is not None:
        version: int | None = options.approve
    elif options.off:
        version = None
    else:
        version = run(frequencies.before)
        if options.on and version is None:
            raise UserError("Nothing was switched off.", "Approve a version: --approve NUMBER")
    run(lambda line: frequencies.decide(line, version, who))
    say("The rule book alone counts now." if version is None else f"Version {version} counts now, for the whole team.")
