"""Figures of this build beside their bars, and beside those that another build left."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict

from diag.evaluation.bench import Row
from diag.support.errors import UserError

SCHEMA = 1


def as_plain(rows: Sequence[Row]) -> dict[str, object]:
    """The figures as JSON has them, to be kept and set beside those of another build."""

    def plain(row: Row) -> dict[str, object]:
        return {key: None if isinstance(v, float) and math.isnan(v) else v for key, v in asdict(row).items()}

    return {"schema": SCHEMA, "kind": "bench", "figures": [plain(row) for row in rows]}


def kept_figures(text: str, name: str) -> dict[str, float]:
    """What another build measured: name of the figure to its value.

    Raises:
        UserError: it is not what ``as_plain`` gives.
    """
    try:
        plain = json.loads(text)
        if plain["schema"] != SCHEMA or plain["kind"] != "bench":
            raise ValueError("another layout")
        return {str(f["name"]): float(f["ours"]) for f in plain["figures"] if f["ours"] is not None}
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise UserError("These are no figures of diag bench.", "Keep some: diag bench --json > FILE", name) from error


def table_of(
    rows: Sequence[Row], before: Mapping[str, float] | None = None
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Headings and lines: every figure beside that of the other build, where one is given, and its bar."""
    other = () if before is None else ("before", "change")
    lines = []
    for row in rows:
        earlier = math.nan if before is None else before.get(row.name, math.nan)
        compared = () if before is None else (_figure(earlier), _change(earlier, row.ours))
        held = _figure(row.bar), "falls short" if row.falls_short else ""
        lines.append((row.name, _figure(row.ours), *compared, *held, _figure(row.peer), row.unit, row.note))
    return ("figure", "now", *other, "bar", "", "library", "unit", "note"), lines


def verdict(rows: Sequence[Row]) -> str:
    """How many of the figures with a bar fall short, and which, farthest first."""
    held = [row for row in rows if not math.isnan(row.bar) and not math.isnan(row.ours)]
    short = sorted((row for row in held if row.falls_short), key=lambda row: -row.ours / row.bar)
    if not short:
        return f"All {len(held)} figures with a bar keep it."
    names = "; ".join(f"{row.name} ({row.ours / row.bar:.1f} times)" for row in short)
    return f"{len(short)} of {len(held)} figures with a bar fall short of it: {names}."


def _figure(value: float) -> str:
    return "" if math.isnan(value) else f"{value:.3g}"


def _change(before: float, now: float) -> str:
    if math.isnan(before) or math.isnan(now) or before <= 0.0:
        return ""
    return f"{100.0 * (now / before - 1.0):+.0f} %"
