"""``diag log``: reads a logger's text file and reasons with it."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import Any

from diag.datalog.analysis import Analysis, analysed
from diag.datalog.layout import Layout
from diag.datalog.log import Log, Wishes, read_log
from diag.datalog.told import readings_of, signs_of
from diag.fuelsystem.car import hose_off_target
from diag.presentation.log_data import log_data
from diag.presentation.log_pictures import log_plots, log_svgs
from diag.presentation.log_text import about_line, column_lines, log_lines
from diag.presentation.wording import Words
from diag.quantities import parse
from diag.rulebook.where import cases_folder
from diag.session.job import Job
from diag.session.log_columns import keep_layout, kept_layouts
from diag.session.logged import FromLog, reading_line
from diag.support.errors import ExitCode, UnknownNameError, UserError
from diag.support.text import one_line
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.inputs import book_of, store_of
from diag.ui.cli.output import deliver, fold, json_text, remark, say

PRESSURES = ("psi", "bar", "kPa")
NOTES = """columns:
  --channel 'rail pressure=Fuel P=psi'   channel = heading (or number from 1) = unit
  --channel 'throttle=none'              no column is this channel
channels: time, rail pressure, manifold pressure, pressure difference, engine speed, throttle, battery volts,
  pump volts, fuel flow, injector duty, coolant heat, fuel heat, air pressure

What was confirmed once is remembered for files with the same headings. Load is logged on rollers or a closed
course, never on the public road; an earlier log will do as well.
"""


def parser() -> Arguments:
    """The options."""
    found = Arguments("log", "Read a data log (CSV, TSV), say what it shows, and add it to a job.", NOTES)
    found.add_argument("files", nargs="*", type=Path, metavar="FILE", help="logs as text with a line of headings")
    found.add_argument("--demo", metavar="NAME", help="the log of a case that comes with the program")
    found.add_argument("--channel", action="append", default=[], metavar="CHANNEL=COLUMN[=UNIT]",
                       help="which column a channel is, and its unit")  # fmt: skip
    found.add_argument("--rate", type=float, metavar="HZ", help="rows a second, for a log without times")
    found.add_argument("--air", metavar="PRESSURE", help="the air's absolute pressure that day, such as '98 kPa'")
    found.add_argument("--target", metavar="PRESSURE", help="wanted rail pressure, hose off (default: the job's)")
    found.add_argument("--hose", choices=("on", "off"), default="on",
                       help="whether the reference hose was on the regulator (default on)")  # fmt: skip
    found.add_argument("--released", action="store_true", help="the pressure had been let off before the log began")
    found.add_argument("--yes", action="store_true", help="the columns are right as shown; remember them")
    found.add_argument("--add-to", metavar="JOB", help="put the results into this job")
    found.with_folder().with_rules()
    found.add_argument("--who", default="", metavar="NAME", help="name or initials written beside every entry")
    found.add_argument("--unit", choices=PRESSURES, default="psi", help="unit of pressures (default psi)")
    found.add_argument("--no-plot", action="store_true", help="no pictures made of characters")
    found.add_argument("--svg", type=Path, metavar="FOLDER", help="write the pictures into this folder")
    found.add_argument("--json", action="store_true", help="as JSON")
    found.add_argument("-o", "--output", type=Path, metavar="FILE", help="write to a file")
    return found


def run(arguments: list[str]) -> int:
    """Read logs, one after the other; results go into the job only when every log could be read."""
    options = parser().parse_args(arguments)
    files = _files(options)
    job = _job(options)
    try:
        found = [_analysed(options, path, job) for path in files]
        told: list[str] = []
        for one in found:
            told += _told(options, one, job)
        if options.json:
            deliver(json_text({"schema": 1, "kind": "log", "logs": [_plain(options, one) for one in found]}),
                    options.output)  # fmt: skip
        else:
            deliver("\n".join(told), options.output)
    finally:
        if job is not None:
            job.close_file()
    return ExitCode.STORAGE if job is not None and job.trouble else ExitCode.DONE


def _files(options: argparse.Namespace) -> list[Path]:
    """The logs that the options name.

    Raises:
        UserError: none is named, or there is no demo log of this name.
    """
    files: list[Path] = list(options.files)
    if options.demo:
        known = {path.stem: path for path in sorted(cases_folder().glob("*.csv"))}
        if options.demo not in known:
            raise UnknownNameError("demo log", one_line(options.demo, 80), known)
        files.append(known[options.demo])
    if not files:
        raise UserError("No log was named.", "Give a file, or --demo linnet-log-says-two-thirds.")
    return files


def _job(options: argparse.Namespace) -> Job | None:
    if not options.add_to:
        return None

    who = options.who or os.environ.get("DIAG_WHO", "") or os.environ.get("USER", "")
    store = store_of(options, who)
    return Job.open(store, book_of(options), store.find(options.add_to), who)


# ------------------------------------------------------------------ reading, with the columns confirmed


def _analysed(options: argparse.Namespace, path: Path, job: Job | None) -> Analysis:
    log = read_confirmed(options, path, must=job is not None)
    return analysed(log, _target(options, job))


def read_confirmed(options: argparse.Namespace, path: Path, must: bool) -> Log:
    """The log with its columns confirmed: remembered, said to be right, or asked at a terminal.

    Raises:
        UserError: nobody confirmed them and ``must`` says that somebody has to.
    """
    layouts = kept_layouts()
    log = read_log(path, layouts, _wishes(options))
    if options.yes:
        keep_layout(log.layout)
    elif not log.layout.sure:
        if sys.stdin.isatty() and sys.stdout.isatty():
            log = _asked(options, path, log, layouts)
        elif must:
            _show_columns(log)
            raise UserError("Nobody has confirmed these columns yet.", "Look at them and add --yes.", log.name)
        else:
            remark(f"{log.name}: the columns are not confirmed; --yes remembers them as shown.")
    return log


def _show_columns(log: Log) -> None:
    for line in column_lines(log.layout):
        remark(line)


def _asked(options: argparse.Namespace, path: Path, log: Log, layouts: dict[str, Layout]) -> Log:
    for _ in range(20):
        say("\n".join(column_lines(log.layout)))
        answer = input("Is that right? yes, no, or CHANNEL = COLUMN = UNIT > ").strip()
        if answer.casefold() in ("y", "yes"):
            keep_layout(log.layout)
            return log
        if answer.casefold() in ("n", "no", ""):
            raise UserError("The columns are not right.", "Say which: --channel 'rail pressure=COLUMN=psi'", log.name)
        try:
            options.channel.append(answer)
            log = read_log(path, layouts, _wishes(options))
        except UserError as error:
            options.channel.pop()
            say(error.one_line())
    raise UserError("The columns were not confirmed.", "See: diag log --help", log.name)


def _wishes(options: argparse.Namespace) -> Wishes:
    columns = {}
    for text in options.channel:
        channel, equals, column = (part.strip() for part in text.partition("="))
        if not equals or not column:
            raise UserError(f"{one_line(text, 80)!r} names no column.", "Write CHANNEL=COLUMN or CHANNEL=COLUMN=UNIT.")
        columns[channel.casefold()] = column
    if options.rate is not None and not 0.001 <= options.rate <= 100_000.0:
        raise UserError(f"{options.rate:g} rows a second cannot be.", "Give rows a second, such as --rate 50.")
    air = parse(options.air, "absolute pressure", "kPa", "air").value if options.air else None
    return Wishes(columns, options.rate, air)


def _target(options: argparse.Namespace, job: Job | None) -> float | None:
    if options.target:
        return parse(options.target, "pressure", options.unit, "target").value
    return None if job is None else hose_off_target(job.standing.car)


# ------------------------------------------------------------------ telling


def _told(options: argparse.Namespace, found: Analysis, job: Job | None) -> list[str]:
    boosted = None if job is None else _boosted(job)
    lines = [text for line in log_lines(found, options.unit, boosted) for text in _folded(line)]
    target = _target(options, job)
    if not options.no_plot and not options.json:
        lines += ["", *log_plots(found, options.unit, target)]
    if options.svg is not None:
        _write_pictures(found, options, target)
    if job is not None:
        readings = readings_of(found, options.released, options.hose == "on")
        about = about_line(found, job.case.unit_pressure)
        left = job.take_log(FromLog(found.log.name, about, readings, signs_of(found)))
        lines += ["", *_in_job(job, found, options, left)]
    return [*lines, ""]


def _folded(line: str) -> list[str]:
    return fold(line.strip(), "  ", "    ") if line.startswith("  ") else fold(line) if line else [""]


def _boosted(job: Job) -> bool | None:
    boost = job.standing.car.number("boost")
    return None if boost is None else boost > 0.0


def _in_job(job: Job, found: Analysis, options: argparse.Namespace, left: tuple[str, ...]) -> list[str]:
    """What went into the job, and the ranking after it."""
    unit = job.case.unit_pressure
    lines = [f"Written into {job.case.id}:"]
    for one in readings_of(found, options.released, options.hose == "on"):
        lines += fold(reading_line(one, job.book, unit), "  ", "    ")
    for sign in signs_of(found):
        known = job.book.signs.get(sign.sign)
        if known is not None:
            lines += fold(f"{known.title}: {sign.answer} ({sign.words})", "  ", "    ")
    for text in left:
        lines += fold(f"Left out: {text}", "  ", "    ")
    words = Words(job.book, unit)
    lines.append("Likeliest now:")
    for cause, chance in job.standing.belief.ranked()[:3]:
        lines.append(f"  {100.0 * chance:3.0f} %  {words.cause(cause)[0]}")
    if job.trouble:
        lines.append(job.trouble)
    return lines


def _write_pictures(found: Analysis, options: argparse.Namespace, target: float | None) -> None:
    folder: Path = options.svg
    if not folder.is_dir():
        raise UserError(f"There is no folder {one_line(str(folder), 200)!r}.", "Give a folder that exists.")
    for name, text in log_svgs(found, options.unit, target).items():
        deliver(text, folder / f"{Path(found.log.name).stem}-{name}.svg")


def _plain(options: argparse.Namespace, found: Analysis) -> dict[str, Any]:
    return log_data(found, options.released, options.hose == "on")
