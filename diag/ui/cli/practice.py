"""``diag practice``: find the hidden fault of a car that answers from the physics; progress, and sessions again."""

from __future__ import annotations

import argparse
import os
import secrets
import sys
from datetime import UTC, datetime
from pathlib import Path

from diag.casework.replay import ModelCache
from diag.casework.store import default_folder
from diag.practice.conversation import PracticeConversation, say_debrief, say_pieces
from diag.practice.deal import deal
from diag.practice.debrief import debrief
from diag.practice.guide import proposal_words
from diag.practice.levels import level_of
from diag.practice.moves import read_move
from diag.practice.progress import progress_lines, progress_svg
from diag.practice.results import Trainee
from diag.practice.session import begin, play
from diag.practice.state import Session
from diag.practice.store import PracticeStore, default_practice_folder
from diag.practice.words import story, turn_pieces
from diag.support.errors import ExitCode, UserError
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.inputs import book_of
from diag.ui.cli.output import deliver, fold, say, table
from diag.ui.cli.work import prepare, screen_possible, wants_ascii
from diag.ui.plain.talk import Talk

EPILOG = """levels:
  1 loud-fault     one frequent fault that shows itself clearly
  2 one-fault      one fault from anywhere in the book, some papers missing
  3 no-gauge       one fault and no pressure gauge at hand
  4 misread-gauge  one fault, and one pressure reading comes out wrong
  5 wrong-papers   one fault, and one told figure of the car is wrong
  6 two-faults     two faults in different places

The same rule book, level and number always give the same car. A number is chosen by chance when none is given.
Results are kept under the trainee's name, for --progress and --replay.
"""
MOST_SEED = 999_999


def parser() -> Arguments:
    """The options."""
    found = Arguments("practice", "Practise on a car with a hidden fault, then look at it step by step.", EPILOG)
    found.add_argument("--level", default="", metavar="LEVEL", help="number or name of a level (default 1)")
    found.add_argument("--seed", type=int, metavar="NUMBER", help="the number of the car, to have the same one again")
    found.add_argument(
        "--who", default="", metavar="NAME", help="the trainee (default: DIAG_WHO, or the account's name)"
    )
    found.add_argument("--plain", action="store_true", help="line by line, for screen readers, slow links and pipes")
    found.add_argument("--progress", action="store_true", help="how the trainee gets on, with a picture")
    found.add_argument("--svg", type=Path, metavar="FILE", help="write the picture of --progress to this file")
    found.add_argument("--list", action="store_true", help="the sessions kept so far, with their numbers")
    found.add_argument("--replay", type=int, metavar="N", help="play session N of --list again and show its debrief")
    found.add_argument("--forget", action="store_true", help="keep no result of this session")
    found.add_argument(
        "--results", type=Path, metavar="FOLDER", help="where results are kept (default: the usual place)"
    )
    found.add_argument("--no-color", action="store_true", help="no colour codes at all")
    found.add_argument("--no-mouse", action="store_true", help="leave the mouse to the terminal")
    found.add_argument("--ascii", action="store_true", help="draw with plain ASCII only")
    return found.with_rules()


def run(arguments: list[str]) -> int:
    """Practise, or show what was practised."""
    options = parser().parse_args(arguments)
    if options.seed is not None and not 0 <= options.seed <= 2**31 - 1:
        raise UserError(f"{options.seed} is no number of a car.", "Give a whole number from 0 up.", "--seed")
    if options.svg is not None and not options.progress:
        raise UserError("--svg belongs to --progress.", "Say: diag practice --progress --svg FILE")
    if options.list or options.progress:
        return _progress(options) if options.progress else _list(options)
    if options.replay is not None:
        return _replay(options)

    prepare(os.environ)
    if options.plain or not screen_possible(os.environ, sys.stdin.isatty(), sys.stderr.isatty()):
        return _plain(options)
    return _screens(options)


def who_of(options: argparse.Namespace) -> str:
    """The trainee's name."""
    return str(options.who or os.environ.get("DIAG_WHO", "") or os.environ.get("USER", "") or "trainee")


def _folder(options: argparse.Namespace) -> Path:
    told: Path | None = options.results
    return told if told is not None else default_practice_folder(os.environ, Path.home())


def _seed(options: argparse.Namespace) -> int:
    return int(options.seed) if options.seed is not None else secrets.randbelow(MOST_SEED) + 1


# ------------------------------------------------------------------ line by line


def _plain(options: argparse.Namespace) -> int:
    level = level_of(options.level or "1")
    talk = Talk.standard()
    book = book_of(options)
    cache: ModelCache = {}
    session = begin(book, deal(book, level, _seed(options), cache))
    again = f"diag practice --level {level.id} --seed {session.deal.seed}"
    try:
        ended = PracticeConversation(session, talk, lambda now: proposal_words(now, cache)).run()
    except KeyboardInterrupt:
        talk.say(f"\nInterrupted; no result is kept. The same car again: {again}")
        return ExitCode.INTERRUPTED
    if ended is None:
        talk.say(f"Left without a result. The same car again: {again}")
        return ExitCode.DONE
    _show_debrief(options, talk, ended, cache, keep=not options.forget)
    return ExitCode.DONE


def _show_debrief(options: argparse.Namespace, talk: Talk, ended: Session, cache: ModelCache, keep: bool) -> None:
    """Work out the debrief, say it, and keep the result."""
    talk.say("Working out the debrief: every step is weighed again, and the program works on the same car.")
    told = debrief(ended, cache)
    if told is None:
        raise AssertionError("nobody stopped the debrief")
    say_debrief(talk, told)
    if keep:
        grown = PracticeStore(_folder(options)).keep(who_of(options), told, datetime.now(UTC))
        talk.say(f"Kept as session {len(grown.results)} of {grown.name}. See: diag practice --progress")


def _replay(options: argparse.Namespace) -> int:
    trainee = _trainee(options)
    if not 1 <= options.replay <= len(trainee.results):
        kept = f"Sessions run from 1 to {len(trainee.results)}." if trainee.results else "None is kept yet."
        raise UserError(f"{trainee.name} has no session {options.replay}.", kept, "--replay")
    result = trainee.results[options.replay - 1]
    book = book_of(options)
    talk = Talk.standard()
    if result.book != book.fingerprint:
        talk.say("The rule book has changed since, so this may be another car and another course.")
    cache: ModelCache = {}
    dealt = deal(book, level_of(result.level), result.seed, cache)
    session = play(book, dealt, [read_move(line) for line in result.moves])
    say_pieces(talk, story(session))
    for turn in session.turns:
        say_pieces(talk, turn_pieces(turn, session))
    _show_debrief(options, talk, session, cache, keep=False)
    return ExitCode.DONE


# ------------------------------------------------------------------ results


def _trainee(options: argparse.Namespace) -> Trainee:
    return PracticeStore(_folder(options)).read(who_of(options))


def _list(options: argparse.Namespace) -> int:
    trainee = _trainee(options)
    rows = [
        (str(at), r.at[:16].replace("T", " "), r.level, str(r.seed), "yes" if r.solved else "no",
         "yes" if r.proven else "no", f"{r.minutes:.0f}", f"{r.program_minutes:.0f}", str(r.unsafe))
        for at, r in enumerate(trainee.results, 1)
    ]  # fmt: skip
    heads = ("session", "when", "level", "seed", "solved", "proven", "minutes", "program", "stops")
    say("\n".join(table(heads, rows)) if rows else f"{trainee.name} has no practice session yet.")
    return ExitCode.DONE


def _progress(options: argparse.Namespace) -> int:
    trainee = _trainee(options)
    lines = progress_lines(trainee.name, trainee.results)
    say("\n".join(part for line in lines for part in (fold(line) if line[:1].isalpha() else [line])))
    if options.svg is not None:
        deliver(progress_svg(trainee.name, trainee.results), options.svg)
    return ExitCode.DONE


# ------------------------------------------------------------------ screens


def _screens(options: argparse.Namespace) -> int:
    # the screen library, which looks at the environment when it is loaded
    from diag.ui.tui.app import Options
    from diag.ui.tui.practice_app import PracticeApp

    level = level_of(options.level) if options.level else None
    color = not (options.no_color or os.environ.get("NO_COLOR") or os.environ.get("DIAG_NO_COLOR"))
    if not color:
        os.environ["NO_COLOR"] = "1"
    plain_letters = options.ascii or wants_ascii(os.environ, sys.stderr.encoding or "")
    told = Options(
        default_folder(os.environ, Path.home()), options.rules, no_color=not color, ascii=plain_letters,
        who=who_of(options),
    )  # fmt: skip
    app = PracticeApp(told, _folder(options), level, options.seed, keep=not options.forget)
    return app.work(mouse=not options.no_mouse)
