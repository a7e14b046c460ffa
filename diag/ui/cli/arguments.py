"""Options that several commands share, and a parser whose mistakes are one clear line like any other."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from diag.support.errors import UserError
from diag.support.text import one_line

if TYPE_CHECKING:
    from _typeshed import SupportsWrite


class Arguments(argparse.ArgumentParser):
    """An argument parser that raises ``UserError`` instead of printing a usage and leaving."""

    def __init__(self, command: str, description: str, epilog: str = "") -> None:
        super().__init__(
            prog=f"diag {command}",
            description=description,
            epilog=epilog or None,
            allow_abbrev=False,
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )

    def error(self, message: str) -> NoReturn:
        """One clear line with the way to the help."""
        said = one_line(message, 300)
        raise UserError(f"{said[:1].upper()}{said[1:]}.", f"See: {self.prog} --help")

    def print_help(self, file: SupportsWrite[str] | None = None) -> None:
        """The help; unlike the library's, it does not pass over an output that takes nothing."""
        (file or sys.stdout).write(self.format_help())
        sys.stdout.flush()

    def with_rules(self) -> Arguments:
        """Which rule book, and whether this workshop's learnt frequencies go on top."""
        self.add_argument("--rules", type=Path, metavar="FOLDER", help="another rule book than the one in use")
        self.add_argument(
            "--learnt", type=Path, metavar="FILE", help="frequencies learnt from closed jobs (see: diag learn --help)"
        )
        return self

    def with_folder(self) -> Arguments:
        """Which folder of jobs."""
        where = self.add_mutually_exclusive_group()
        where.add_argument("--folder", type=Path, metavar="FOLDER", help="folder of jobs (default: the usual one)")
        return self.with_store(where)

    def with_store(self, where: argparse._MutuallyExclusiveGroup | None = None) -> Arguments:
        """Which store of jobs, a folder or a server."""
        (where or self).add_argument(
            "--store",
            default="",
            metavar="WHERE",
            help="folder of jobs, or postgresql://HOST/NAME for a team's server (also DIAG_STORE)",
        )
        return self

    def with_case(self) -> Arguments:
        """Which case: a file, standard input, a job of the folder, or a case that comes with the program."""
        self.add_argument("case", nargs="?", metavar="FILE", help="case file, '-' for standard input, or a job's name")
        self.add_argument("--demo", metavar="NAME", help="a case that comes with the program (see: diag demo)")
        self.add_argument(
            "--readable-part", action="store_true", help="go on with what can be read of a damaged case file"
        )
        return self.with_folder()
