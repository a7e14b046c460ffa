"""Entry point: finds the command, runs it, and turns every failure into one clear line and an exit code.

Modules of the commands are imported only when their command is asked for, so that the version answers at once.
"""

from __future__ import annotations

import contextlib
import errno
import gc
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import NoReturn

from diag import __version__
from diag.support.errors import ExitCode, UnknownNameError, UserError
from diag.ui.cli.streams import quiet_output, stand_in_for_closed

_NAMES_AT_FAULT = frozenset({errno.ENAMETOOLONG, errno.ELOOP, errno.EINVAL})

COMMANDS: dict[str, tuple[str, str]] = {
    "work": ("diag.ui.cli.work", "work a job in the terminal (also what plain `diag` does)"),
    "weigh": ("diag.ui.cli.weigh", "rank the causes of a case file and name the next safe check"),
    "jobs": ("diag.ui.cli.jobs", "list, filter and search the jobs of a folder"),
    "board": ("diag.ui.cli.board", "who of a team has which call, since when, waiting for what"),
    "report": ("diag.ui.cli.report", "write a case as text, Markdown, HTML or JSON"),
    "log": ("diag.ui.cli.log", "read a data log (CSV, TSV) and reason with it"),
    "desk": ("diag.ui.cli.desk", "answer a design question: return line, range, injectors, pump, wire, sensor"),
    "practice": ("diag.ui.cli.practice", "find the hidden fault of a car that answers from the physics"),
    "handbook": ("diag.ui.cli.handbook", "write the whole rule book as one handbook to read and print"),
    "draft": ("diag.ui.cli.draft", "begin a new entry of the rule book beside its neighbour"),
    "lint": ("diag.ui.cli.lint", "check a rule book and say what to mend, with file, line and column"),
    "expect": ("diag.ui.cli.expect", "hold written cases against what the trade expects of them"),
    "compare": ("diag.ui.cli.compare", "set two versions of a rule book side by side over the same cases"),
    "trial": ("diag.ui.cli.trial", "work simulated jobs and say how good the rule book is"),
    "learn": ("diag.ui.cli.learn", "turn closed and proven jobs into frequencies, for review"),
    "move": ("diag.ui.cli.move", "carry jobs from a folder to a team's server, or back"),
    "server": ("diag.ui.cli.server", "set up a team's database server, and say who may do what there"),
    "bench": ("diag.ui.cli.bench", "measure speed and accuracy beside general-purpose libraries"),
    "demo": ("diag.ui.cli.demo", "list, print or copy the worked cases that come with the program"),
}


def usage() -> str:
    """The short help text, one command a line."""
    width = max(map(len, COMMANDS))
    lines = [
        "diag: find out what is wrong with a return-style fuel injection system, and get it fixed safely.",
        "",
        "usage: diag [command] [options]      without a command: work a job",
        "",
        *(f"  {name:<{width}}  {words}" for name, (_, words) in COMMANDS.items()),
        "",
        "  diag COMMAND --help    the options of one command",
        "  diag --version         the version, and with -v the rule book in use",
        "",
        "exit codes: 0 done, 1 fault in the program, 2 bad input, 3 nothing settled yet,",
        "  4 the disk would not take or give the data, 5 stop: going on is unsafe, 130 interrupted",
    ]
    return "\n".join(lines)


def _version(arguments: Sequence[str]) -> str:
    if "-v" not in arguments:
        return f"diag {__version__}"
    # the plain version does not look for a rule book
    from diag.rulebook.where import rules_folder

    return f"diag {__version__}\nrule book: {rules_folder()}"


def _dispatch(arguments: Sequence[str]) -> int:
    if arguments and arguments[0] in ("-h", "--help", "help"):
        print(usage())
        return ExitCode.DONE
    if "--version" in arguments[:2]:
        print(_version(arguments))
        return ExitCode.DONE
    if arguments and not arguments[0].startswith("-"):
        name, rest = arguments[0], arguments[1:]
        if name not in COMMANDS:
            raise UnknownNameError("command", name, COMMANDS, "diag")
    else:
        name, rest = "work", arguments
    module = import_module(COMMANDS[name][0])
    return int(module.run(list(rest)))


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code is documented in ``usage``.

    What is said about answers and the disk comes as notes on the exception, from whoever had the jobs open.
    """
    arguments = list(sys.argv[1:] if arguments is None else arguments)
    stand_in_for_closed()
    try:
        code = _dispatch(arguments)
        sys.stdout.flush()
        return code
    except UserError as error:
        return _ended(error, error.one_line(), error.exit_code)
    except KeyboardInterrupt as error:
        return _ended(error, "Interrupted.", ExitCode.INTERRUPTED)
    except SystemExit as error:
        if _ended(error, "", ExitCode.DONE) != ExitCode.DONE and not error.code:
            return ExitCode.STORAGE
        raise
    except BrokenPipeError as error:
        # The reader (head, less) has gone. That is how such a reader ends, unless answers were still to be read.
        quiet_output()
        return _ended(error, "", ExitCode.DONE)
    except OSError as error:
        return _ended(error, *_system_words(error))
    except Exception as error:
        if os.environ.get("DIAG_DEBUG"):
            raise
        words = (
            f"Fault in the program ({type(error).__name__}). Set DIAG_DEBUG=1 and run again to see where it happened."
        )
        return _ended(error, words, ExitCode.INTERNAL)


ONE_SHOT = frozenset({"weigh", "report", "jobs", "desk", "lint", "handbook", "demo", "--version"})
"""Commands that read, answer once and end: nothing of theirs has to be collected or taken down."""


def entry() -> NoReturn:
    """The program as installed: one command, and out.

    A one-shot command makes some hundred thousand objects that all live to its end, so the collector only costs it
    time (about a tenth of a second), and so does taking them down one by one after the answer is out.
    """
    once = len(sys.argv) > 1 and sys.argv[1] in ONE_SHOT
    if once:
        gc.disable()
    code = main()
    if once:
        with contextlib.suppress(OSError, ValueError):
            sys.stdout.flush()
            sys.stderr.flush()
        os._exit(code)
    sys.exit(code)


def _system_words(error: OSError) -> tuple[str, int]:
    """The system refused what no command foresaw: in plain words, as bad input or as a matter of disks."""
    # only when the system refused
    from diag.support.disk.failures import storage_error

    quiet_output()
    told = storage_error("The system refused", str(error.filename or "standard output"), error)
    return told.one_line(), ExitCode.BAD_INPUT if error.errno in _NAMES_AT_FAULT else ExitCode.STORAGE


def _ended(error: BaseException, words: str, code: int) -> int:
    """Say on standard error how it ended, with the notes of whoever knows more; the code."""
    # the version and the help have nothing to clean
    from diag.support.text import one_line

    with contextlib.suppress(OSError, ValueError):
        for line in (words, *getattr(error, "__notes__", ())):
            if line:
                print(one_line(line, 1000), file=sys.stderr)
        sys.stderr.flush()
    with contextlib.suppress(OSError, ValueError):
        sys.stdout.flush()
        return code
    quiet_output()
    return code or ExitCode.STORAGE
