"""Which column is which channel, in which unit: proposed from headings and values, confirmed by a person, remembered.

A layout is known again by its headings. What is remembered are column headings and units, never readings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

import numpy as np

from diag.datalog import channels as c
from diag.datalog.dialect import Dialect
from diag.datalog.heading import Heading, read_unit
from diag.datalog.numbers import Floats
from diag.quantities.kinds import find_unit
from diag.support.errors import UnknownNameError, UserError
from diag.support.text import one_line
from diag.support.yaml.reader import as_list, as_map, as_text, as_whole, dump_yaml, read_yaml

FORMAT = 1
MOST_LAYOUTS = 200
NONE = "none"  # said of a channel that no column is


@dataclass(frozen=True, slots=True)
class Column:
    """A channel's column. ``counted`` is "absolute", "gauge" or nothing; ``from_`` says who decided, in words."""

    channel: str
    at: int
    heading: str
    unit: str
    kind: str
    counted: str = ""
    from_: str = "its heading"
    others: tuple[str, ...] = ()  # further columns that may be meant


@dataclass(frozen=True, slots=True)
class Layout:
    """All columns by channel; ``sure`` once a person has confirmed it."""

    mark: str
    columns: Mapping[str, Column]
    sure: bool = False


def mark_of(dialect: Dialect) -> str:
    """What files of one layout have in common: their headings."""
    text = "\x1f".join([dialect.separator, *(h.text for h in dialect.headings), *(h.unit for h in dialect.headings)])
    return sha256(text.encode("utf-8", "replace")).hexdigest()[:16]


def proposed(dialect: Dialect, remembered: Mapping[str, Layout], told: Mapping[str, str]) -> Layout:
    """The columns by what was told now, remembered of this layout, or by their headings.

    Args:
        told: channel id to ``COLUMN``, ``COLUMN=UNIT`` or ``none``.

    Raises:
        UserError: a told channel, column or unit does not exist.
    """
    mark = mark_of(dialect)
    known = remembered.get(mark)
    columns = dict(known.columns) if known is not None else _by_meaning(dialect.headings)
    for channel, text in told.items():
        if channel not in c.CHANNELS:
            raise UnknownNameError("channel", one_line(channel, 60), c.CHANNELS)
        if text.strip().lower() == NONE:
            columns.pop(channel, None)
            continue
        columns[channel] = _told(c.CHANNELS[channel], text, dialect.headings)
        columns = {n: x for n, x in columns.items() if n == channel or x.at != columns[channel].at}
    return Layout(mark, columns, known is not None and not told)


def _by_meaning(headings: Sequence[Heading]) -> dict[str, Column]:
    found = {}
    for name, places in c.matched(headings).items():
        at = places[0]
        heading, kind = headings[at], c.CHANNELS[name].kind
        if name == c.MANIFOLD and "vacuum" in c.plain_words(heading.name):
            kind = "vacuum"
        others = tuple(headings[i].text for i in places[1:])
        found[name] = Column(name, at, heading.text, heading.unit, kind, heading.counted, others=others)
    return found


def _told(channel: c.Channel, text: str, headings: Sequence[Heading]) -> Column:
    name, _, unit = (part.strip() for part in text.partition("="))
    at = _place(name, headings)
    heading = headings[at]
    spelled, kinds, counted = read_unit(unit) if unit else (heading.unit, heading.kinds, heading.counted)
    if unit and channel.kind not in kinds and not (channel.kind == "pressure" and "vacuum" in kinds):
        what = f"{one_line(unit, 40)!r} is no unit of {channel.title.lower()}."
        raise UserError(what, "Give one such as psi, kPa, ms or V.")
    kind = "vacuum" if channel.id == c.MANIFOLD and "vacuum" in c.plain_words(heading.name) else channel.kind
    return Column(channel.id, at, heading.text, spelled, kind, counted or heading.counted, "told")


def _place(name: str, headings: Sequence[Heading]) -> int:
    """A column by its heading, its name or its number from 1."""
    texts = [h.text.casefold() for h in headings]
    names = [h.name.casefold() for h in headings]
    for table in (texts, names):
        if name.casefold() in table:
            return table.index(name.casefold())
    if name.isdigit() and 1 <= int(name) <= len(headings):
        return int(name) - 1
    raise UnknownNameError("column", one_line(name, 60), [h.text for h in headings])


# ------------------------------------------------------------------ units that the headings leave open


def with_units(layout: Layout, values: Mapping[str, Floats]) -> Layout:
    """The layout with units proposed from the figures where the headings have none; those are marked as taken so."""
    columns = dict(layout.columns)
    for name, column in layout.columns.items():
        if column.unit or name == c.TIME:
            continue
        unit, counted = _unit_of(name, column, values[name])
        columns[name] = replace(
            column, unit=unit, counted=column.counted or counted, from_="taken from the size of its figures"
        )
    return replace(layout, columns=columns)


_SIZES = {  # channel: unit, lowest and highest believable 98th percentile; common practice, no source
    c.RAIL: (("bar", 1.0, 12.0), ("psi", 12.0, 150.0), ("kPa", 150.0, 1500.0), ("mbar", 1500.0, 12_000.0)),
    c.DIFFERENCE: (("bar", 1.0, 12.0), ("psi", 12.0, 150.0), ("kPa", 150.0, 1500.0)),
    c.AIR: (("bar", 0.6, 1.1), ("psi", 9.0, 15.5), ("inHg", 18.0, 32.0), ("kPa", 60.0, 110.0), ("mbar", 600.0, 1100.0)),
    c.BATTERY: (("V", 6.0, 30.0), ("mV", 6000.0, 30_000.0)),
    c.PUMP_VOLTS: (("V", 3.0, 30.0), ("mV", 3000.0, 30_000.0)),
    c.RPM: (("rpm", 100.0, 25_000.0),),
    c.COOLANT: (("C", -40.0, 130.0), ("F", 130.0, 270.0)),
    c.FUEL_HEAT: (("C", -40.0, 75.0), ("F", 75.0, 180.0)),
    c.THROTTLE: (("%", 1.5, 120.0),),
    c.DUTY: (("%", 0.0, 130.0),),
}


def _unit_of(name: str, column: Column, values: Floats) -> tuple[str, str]:
    there = values[np.isfinite(values)]
    if not there.size:
        return "", ""
    low, high = (float(v) for v in np.percentile(there, (2.0, 98.0)))
    if name == c.MANIFOLD:
        return _manifold_unit(low, high, column.kind)
    for unit, least, most in _SIZES.get(name, ()):
        if least <= high < most:
            return unit, ""
    return "", ""


def _manifold_unit(low: float, high: float, kind: str) -> tuple[str, str]:
    """Unit of a manifold column without one; negative figures are counted from the air around."""
    if kind == "vacuum":
        return ("inHg", "") if 3.0 < high <= 31.0 else ("kPa", "") if high > 31.0 else ("bar", "")
    if low < -0.05:
        if low < -31.0:
            return "kPa", "gauge"
        return ("bar", "gauge") if low >= -1.05 and high < 4.0 else ("psi", "gauge")
    if 60.0 <= high <= 450.0 and low >= 5.0:
        return "kPa", "absolute"
    if 600.0 <= high <= 4500.0:
        return "mbar", "absolute"
    if 0.5 <= high <= 4.5 and low >= 0.05:
        return "bar", "absolute"
    return ("psi", "") if high < 60.0 else ("", "")


def open_points(layout: Layout) -> list[str]:
    """Channels whose unit nobody knows."""
    return [name for name, x in layout.columns.items() if not x.unit and name != c.TIME]


def in_si(values: Floats, column: Column) -> Floats:
    """Figures of a column in SI; a vacuum becomes a pressure below the air's, counted from the air."""
    unit = find_unit(column.unit, column.kind) or find_unit(column.unit, c.CHANNELS[column.channel].kind)
    if unit is None:
        raise UserError(f"{column.heading}: the unit {one_line(column.unit, 30)!r} is not known.", "Tell another one.")
    si = values * unit.factor + unit.offset
    return -np.abs(si) if column.kind == "vacuum" else si


# ------------------------------------------------------------------ remembering


def layouts_text(layouts: Mapping[str, Layout]) -> str:
    """The file of remembered layouts; the oldest fall out beyond two hundred."""
    kept = list(layouts.values())[-MOST_LAYOUTS:]
    plain = [
        {
            "mark": x.mark,
            "columns": [
                {"channel": y.channel, "column": y.at + 1, "heading": y.heading, "unit": y.unit, "counted": y.counted,
                 "kind": y.kind}
                for y in x.columns.values()
            ],
        }
        for x in kept
    ]  # fmt: skip
    return "# Columns of data logs as they were confirmed. May be deleted.\n" + dump_yaml(
        {"format": FORMAT, "layouts": plain}
    )


def layouts_from(text: str, file: str) -> dict[str, Layout]:
    """Remembered layouts by their mark; entries that this program does not understand are passed over.

    Raises:
        SourceError: it is no such file, with its place.
    """
    root = as_map(read_yaml(text, file), "The file")
    if as_whole(root.need("format", "The file"), "The format", 1) > FORMAT:
        return {}
    listed = root.get("layouts")
    found: dict[str, Layout] = {}
    for node in as_list(listed, "The layouts") if listed is not None else []:
        one = as_map(node, "A layout")
        mark = as_text(one.need("mark", "A layout"), "The mark")
        columns: dict[str, Column] = {}
        for item in as_list(one.need("columns", "A layout"), "The columns"):
            row = as_map(item, "A column")
            name = as_text(row.need("channel"), "The channel")
            if name not in c.CHANNELS:
                continue

            def text_of(key: str, row: object = row) -> str:
                value = row.get(key)  # type: ignore[attr-defined]
                return "" if value is None else as_text(value, key, empty_ok=True)

            columns[name] = Column(
                name, as_whole(row.need("column"), "The column", 1, 2000) - 1, text_of("heading"), text_of("unit"),
                text_of("kind") or c.CHANNELS[name].kind, text_of("counted"), "remembered",
            )  # fmt: skip
        found[mark] = Layout(mark, columns, True)
    return found
