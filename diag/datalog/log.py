"""A data log in SI, ready to be analysed; and the way from a file to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from diag.datalog import channels as c
from diag.datalog.dialect import dialect_of
from diag.datalog.file import HEAD, LogFile
from diag.datalog.layout import Layout, in_si, open_points, proposed, with_units
from diag.datalog.numbers import Floats
from diag.datalog.rows import Rows, read_rows
from diag.datalog.timing import Ints, Timing, even_timing, factor_of, timing_of
from diag.support.errors import UserError
from diag.support.text import one_line

FEWEST = 20  # rows below which it is no log
SEA_LEVEL = 101_325.0
STOPPED = 40.0  # rpm up to which an engine counts as standing still
REST_SPREAD = 6_000.0  # Pa by which a manifold at rest may differ from the air, sensor and height together


@dataclass(frozen=True, slots=True)
class Log:
    """Readings over time, SI. Pressures are counted from the air around; speeds are revolutions per minute.

    ``seconds``, ``stretch`` and each array of ``values`` have one shape (rows,); NaN where a channel said nothing.
    ``scatter`` (rows,) is the rail's standard deviation inside groups of averaged rows. ``step`` is seconds from
    row to row, ``fine`` that of the rows as recorded.
    """

    name: str
    seconds: Floats
    stretch: Ints
    values: Mapping[str, Floats]
    scatter: Floats
    step: float
    fine: float
    read: int
    layout: Layout
    remarks: tuple[str, ...] = ()
    air: float = SEA_LEVEL
    air_known: bool = False

    def has(self, *names: str) -> bool:
        """Whether all these channels hold readings."""
        return all(name in self.values for name in names)


@dataclass(frozen=True, slots=True)
class Wishes:
    """What was told beside the file: columns, rate of a log without times, air pressure in Pa."""

    columns: Mapping[str, str] | None = None
    rate: float | None = None
    air: float | None = None


NO_WISHES = Wishes()


def read_log(path: Path, remembered: Mapping[str, Layout] | None = None, wishes: Wishes = NO_WISHES) -> Log:
    """A log from its file.

    Raises:
        StorageError: it cannot be read.
        UserError: it is no log, or something must be told first; the message says what and how.
    """
    file = LogFile(path)
    try:
        head = file.head()
        dialect = dialect_of(head, len(head) < HEAD)
        layout = proposed(dialect, remembered or {}, wishes.columns or {})
        time = layout.columns.get(c.TIME)
        names = _read_order(layout)
        if not names or names[0] not in (c.RAIL, c.DIFFERENCE):
            named = ", ".join(one_line(h.text, 30) for h in dialect.headings[:12] if h.text)
            raise UserError(f"No column of rail pressure was found among: {named}.", _how(c.RAIL, "COLUMN=psi"))
        if time is None and wishes.rate is None:
            raise UserError("No column of times was found.", f"{_how(c.TIME, 'T=ms')} Or tell the rate: --rate 50")
        at = [layout.columns[name].at for name in names]
        rows = read_rows(file.lines(dialect.encoding), dialect, at, time.at if time else None, file.size)
    except UserError as error:
        if not error.where:
            error.where = file.name
        raise
    if len(rows.values) < FEWEST:
        raise UserError("The file holds too few readings.", "Export the whole log.", file.name)
    return _in_si(file.name, rows, names, layout, wishes)


def _read_order(layout: Layout) -> list[str]:
    """Channels other than time, rail pressure first; a log of differences and manifold gives it as well."""
    names = [name for name in layout.columns if name != c.TIME]
    if c.RAIL in names:
        return sorted((n for n in names if n != c.DIFFERENCE), key=lambda n: n != c.RAIL)
    return sorted(names, key=lambda n: n != c.DIFFERENCE) if c.MANIFOLD in names else []


def _how(channel: str, example: str) -> str:
    return f"Tell it: --channel '{channel}={example}'"


def _in_si(name: str, rows: Rows, names: list[str], layout: Layout, wishes: Wishes) -> Log:
    raw = {channel: rows.values[:, at] for at, channel in enumerate(names)}
    layout = with_units(layout, raw)
    unclear = open_points(layout)
    must = [n for n in unclear if n in (c.RAIL, c.MANIFOLD, c.DIFFERENCE)]
    if must:
        raise UserError(f"The unit of {must[0]} could not be told.",
                        _how(must[0], f"{layout.columns[must[0]].heading}=kPa"), name)  # fmt: skip
    remarks = []
    timing, said = _timing(rows, layout, wishes, name)
    remarks += said
    values = {n: in_si(raw[n], layout.columns[n])[timing.keep] for n in names if n not in unclear}
    for gone in unclear:
        remarks.append(f"{c.CHANNELS[gone].title} is left out: its unit is not known.")
    values = {n: v for n, v in values.items() if np.isfinite(v).sum() >= 5}
    if names[0] not in values:
        raise UserError("The column of rail pressure holds no numbers.", "Check that the right column was taken.", name)
    air, known, more = _from_the_air(values, layout, wishes)
    remarks += more
    if c.RAIL not in values:
        values[c.RAIL] = values.pop(c.DIFFERENCE) + values[c.MANIFOLD]
        remarks.append("Rail pressure is the logged pressure across the injectors plus the manifold's.")
    if rows.lost:
        remarks.append(f"{rows.lost} lines could not be read and are left out.")
    factor = 1.0 / max(rows.group, 1)
    return Log(name, timing.seconds, timing.stretch, values, rows.scatter[timing.keep] * _scale(layout, names),
               timing.step, timing.step * factor, rows.read, layout, tuple(remarks), air, known)  # fmt: skip


def _scale(layout: Layout, names: list[str]) -> float:
    column = layout.columns[names[0]]
    two = in_si(np.array([0.0, 1.0]), column)
    return float(two[1] - two[0])


def _timing(rows: Rows, layout: Layout, wishes: Wishes, name: str) -> tuple[Timing, list[str]]:
    column = layout.columns.get(c.TIME)
    if column is None:
        return even_timing(len(rows.values), (wishes.rate or 1.0) / rows.group), ["The rate was told, not logged."]
    times = rows.values[:, -1]
    factor, why = factor_of(times, column.unit, rows.clock)
    if wishes.rate is not None and not factor:
        return even_timing(len(rows.values), wishes.rate / rows.group), ["The rate was told, not logged."]
    if not factor:
        raise UserError("The unit of the times could not be told.", _how(c.TIME, f"{column.heading}=ms"), name)
    timing = timing_of(times, rows.values[:, :-1], factor, rows.clock)
    said = [] if column.unit else [f"Times: {why}."]
    counts = (
        (timing.repeated, "rows stand twice and count once"),
        (timing.resets, "times the clock began anew"),
        (timing.gaps, "gaps without rows"),
        (timing.unstamped, "rows without a time are left out"),
    )
    for count, words in counts:
        if count:
            said.append(f"{count} {words}.")
    return timing, said


def _from_the_air(values: dict[str, Floats], layout: Layout, wishes: Wishes) -> tuple[float, bool, list[str]]:
    """Bring every pressure to the air around as zero; the air's pressure, whether it is known, and remarks."""
    remarks: list[str] = []
    manifold = values.get(c.MANIFOLD)
    rest = _at_rest(values, manifold) if manifold is not None else None
    counted = _counted(layout, manifold, rest, remarks)
    air, known = _air(values, wishes, rest if counted == "absolute" else None)
    if manifold is not None and counted == "absolute":
        values[c.MANIFOLD] = manifold - air
        if not known:
            remarks.append("The air's pressure is not in the log; sea level is assumed. Tell it with --air.")
    if c.RAIL in values and layout.columns[c.RAIL].counted == "absolute":
        values[c.RAIL] = values[c.RAIL] - air
    return air, known, remarks


def _counted(layout: Layout, manifold: Floats | None, rest: float | None, remarks: list[str]) -> str:
    """Whether the manifold column counts from nothing; the figures at rest win over the heading."""
    if manifold is None or layout.columns[c.MANIFOLD].kind == "vacuum":
        return "gauge"
    told = layout.columns[c.MANIFOLD].counted
    seen = told
    if rest is not None:
        seen = "absolute" if 55_000.0 < rest < 110_000.0 else "gauge" if abs(rest) < REST_SPREAD else told
    elif not told:
        low, high = (float(v) for v in np.nanpercentile(manifold, (1.0, 99.0)))
        seen = "gauge" if low < -2_000.0 else "absolute" if low > 12_000.0 and high > 40_000.0 else ""
    if told and seen != told:
        remarks.append(f"The manifold column is called {told}, but with the engine at rest it reads as {seen}; "
                       f"it is taken as {seen}.")  # fmt: skip
    if not seen:
        raise UserError("Whether the manifold pressure is absolute or gauge could not be told.",
                        _how(c.MANIFOLD, f"{layout.columns[c.MANIFOLD].heading}=kPa absolute"))  # fmt: skip
    return seen


def _at_rest(values: Mapping[str, Floats], manifold: Floats) -> float | None:
    """The manifold's figure with the engine standing still, Pa as counted; None when the log never shows it."""
    rpm = values.get(c.RPM)
    if rpm is None:
        return None
    still = (rpm <= STOPPED) & np.isfinite(manifold)
    if still.sum() < 5:
        return None
    # After switch-off a manifold needs a moment to fill; the later half of the rows at rest and the first ones agree.
    return float(np.median(manifold[still]))


def _air(values: Mapping[str, Floats], wishes: Wishes, rest: float | None) -> tuple[float, bool]:
    if wishes.air is not None:
        return wishes.air, True
    if c.AIR in values:
        return float(np.nanmedian(values[c.AIR])), True
    return (rest, True) if rest is not None else (SEA_LEVEL, False)
