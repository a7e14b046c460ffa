"""Entry point: finds the command, runs it, and turns every failure into one clear line and an exit code.

Modules of the commands are imported only when their command is asked for, so that the version answers at once.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from importlib import import_module

from diag import __version__
from diag.support.errors import ExitCode, UserError

COMMANDS: dict[str, tuple[str, str]] = {
    "work": ("diag.ui.cli.work", "work a job in the terminal (also what plain `diag` does)"),
    "weigh": ("diag.ui.cli.weigh", "rank the causes of a case file and name the next safe check"),
    "jobs": ("diag.ui.cli.jobs", "list, filter and search the jobs of a folder"),
    "report": ("diag.ui.cli.report", "write a case as text, Markdown, HTML or JSON"),
    "desk": ("diag.ui.cli.desk", "answer a design question: return line, range, injectors, pump, wire, sensor"),
    "practice": ("diag.ui.cli.practice", "find the hidden fault of a car that answers from the physics"),
    "handbook": ("diag.ui.cli.handbook", "write the whole rule book as one handbook to read and print"),
    "lint": ("diag.ui.cli.lint", "check a rule book and say what to mend, with file, line and column"),
    "trial": ("diag.ui.cli.trial", "work simulated jobs and say how good the rule book is"),
    "learn": ("diag.ui.cli.learn", "turn closed and proven jobs into frequencies, for review"),
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
            from diag.support.errors import UnknownNameError

            raise UnknownNameError("command", name, COMMANDS, "diag")
    else:
        name, rest = "work", arguments
    module = import_module(COMMANDS[name][0])
    return int(module.run(list(rest)))


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code is documented in ``usage``."""
    arguments = list(sys.argv[1:] if arguments is None else arguments)
    try:
        code = _dispatch(arguments)
        sys.stdout.flush()
        return code
    except UserError as error:
        from diag.support.text import one_line

        print(one_line(error.one_line(), 1000), file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        print("Interrupted. Every answer given so far is on disk.", file=sys.stderr)
        return ExitCode.INTERRUPTED
    except BrokenPipeError:
        # The reader (head, less) has gone; point stdout at nothing so that the interpreter ends quietly.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ExitCode.DONE
    except Exception as error:
        if os.environ.get("DIAG_DEBUG"):
            raise
        print(
            f"Fault in the program ({type(error).__name__}). Every answer given so far is on disk. "
            "Set DIAG_DEBUG=1 and run again to see where it happened.",
            file=sys.stderr,
        )
        return ExitCode.INTERNAL
