"""A data log at the prompt: its columns are confirmed, what it says is told, and its results go into the job."""

from __future__ import annotations

from pathlib import Path

from diag.datalog.analysis import analysed
from diag.datalog.log import Log, Wishes, read_log
from diag.datalog.told import readings_of, signs_of
from diag.datalog.wanted import gaps_of
from diag.fuelsystem.car import hose_off_target
from diag.presentation.log_text import about_line, column_lines, phase_lines, result_lines
from diag.session.answers import yes_or_no
from diag.session.log_columns import keep_layout, kept_layouts
from diag.session.logged import FromLog
from diag.support.errors import UserError
from diag.support.text import one_line
from diag.ui.plain.room import Room


def log(room: Room, rest: str) -> None:
    """Read a log, have its columns confirmed, tell what it says and write it down."""
    name = rest.strip().strip("\"'") or (room.talk.ask("Which file? Enter for none") or "").strip()
    if not name:
        return
    read = _confirmed(room, Path(name).expanduser())
    if read is None:
        room.talk.say("Nothing was written down.")
        return
    unit = room.job.case.unit_pressure
    found = analysed(read, hose_off_target(room.now.car))
    boost = room.now.car.number("boost")
    room.talk.lines([*read.remarks, *phase_lines(found), *result_lines(found, unit), *(d.text for d in found.doubts)])
    room.talk.lines(f"{gap.missing} {gap.next_time}" for gap in gaps_of(found, None if boost is None else boost > 0.0))
    hose = _asked(room, "Was the reference hose on the regulator while this was logged?")
    released = found.rest is not None and _asked(room, "Had the pressure been let off before the log began?")
    told = FromLog(read.name, about_line(found, unit), readings_of(found, bool(released), bool(hose)), signs_of(found))
    if hose is None or not _asked(room, "Write this into the job? It counts for the car as it is now."):
        room.talk.say("Nothing was written down.")
        return
    left = room.job.take_log(told)
    room.talk.say(
        f"Written down: {len(told.readings)} readings and {len(told.signs)} answers of {one_line(read.name)}."
    )
    room.talk.lines(f"Left out: {text}" for text in left)


def _asked(room: Room, question: str) -> bool | None:
    """Yes or no; None at the end of the input. Enter alone never answers."""
    for _ in range(10):
        line = room.talk.ask(f"{question} yes or no")
        if line is None:
            return None
        answer = yes_or_no(line)
        if answer is not None:
            return answer
        room.talk.say("Say yes or no.")
    return None


def _confirmed(room: Room, path: Path) -> Log | None:
    """The log once its columns are right; None when the person gives up."""
    columns: dict[str, str] = {}
    for _ in range(20):
        try:
            read = read_log(path, kept_layouts(), Wishes(columns))
        except UserError as error:
            room.talk.say(error.one_line())
            line = room.talk.ask("Tell a column: CHANNEL = COLUMN = UNIT, Enter to leave the log")
        else:
            if read.layout.sure:
                return read
            room.talk.lines(column_lines(read.layout))
            line = room.talk.ask("Is that right? yes, no, or CHANNEL = COLUMN = UNIT")
            if line is not None and yes_or_no(line):
                keep_layout(read.layout)
                return read
        channel, equals, column = (line or "").partition("=")
        if not equals:
            return None
        columns[channel.strip().casefold()] = column.strip()
    return None
