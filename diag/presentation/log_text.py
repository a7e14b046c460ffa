"""What a data log says, in plain lines: columns, phases, results with their uncertainty, doubts and gaps."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diag.datalog import channels as c
from diag.datalog.analysis import Analysis
from diag.datalog.flow import Level
from diag.datalog.layout import Layout
from diag.datalog.phases import PHASES
from diag.datalog.robust import Estimate, Line
from diag.datalog.wanted import gaps_of
from diag.presentation.report.sheet import DataLog
from diag.quantities import show, to_unit
from diag.quantities.units import PSI
from diag.support.text import one_line

INTERVAL = (
    "Intervals hold the truth of what the sensors show in 95 of 100 logs; what a sensor itself reads wrong is not in "
    "them."
)
SOUND_SLOPE = "a sound 1:1 regulator gives 0.97 to 1.05."
"""Area ratio of diaphragm and seat, 1.02 to 1.04 for usual sizes, and the regulator's own rise with flow."""


def pressure(value: float, unit: str) -> str:
    """A pressure with one decimal more than a gauge would give."""
    return f"{_figure(to_unit(value, 'pressure', unit), _decimals(unit))} {unit}"


def _figure(value: float, places: int) -> str:
    """A number with so many decimals, and never minus nothing."""
    text = f"{value:.{places}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def _decimals(unit: str) -> int:
    return {"bar": 3, "kPa": 1}.get(unit, 1)


def interval(estimate: Estimate, unit: str) -> str:
    """A pressure with its 95 % interval."""
    low, high = (to_unit(v, "pressure", unit) for v in (estimate.low, estimate.high))
    places = _decimals(unit) + (1 if unit == "psi" else 0)
    middle = _figure(to_unit(estimate.value, "pressure", unit), places)
    return f"{middle} {unit} ({_figure(low, places)} to {_figure(high, places)})"


def plain_interval(estimate: Estimate, places: int) -> str:
    """A number with its 95 % interval."""
    return f"{_figure(estimate.value, places)} ({_figure(estimate.low, places)} to {_figure(estimate.high, places)})"


def column_lines(layout: Layout) -> list[str]:
    """Which column is taken for which channel, and why, for confirmation."""
    lines = []
    for name, column in layout.columns.items():
        unit = column.unit or ("not told" if name == c.TIME else "unit not known")
        counted = f" {column.counted}" if column.counted else ""
        sure = "" if column.from_ == "its heading" else f"; {column.from_}"
        also = f"; could also be {', '.join(one_line(o, 40) for o in column.others[:3])}" if column.others else ""
        lines.append(f"{c.CHANNELS[name].title}: column {one_line(column.heading, 60)!r}, {unit}{counted}{sure}{also}")
    missing = [x.title for x in c.CHANNELS.values() if x.id not in layout.columns and x.id in _USEFUL]
    if missing:
        lines.append(f"Not found: {', '.join(missing)}.")
    return lines


_USEFUL = (c.RAIL, c.MANIFOLD, c.RPM, c.BATTERY, c.DUTY, c.THROTTLE)


def phase_lines(found: Analysis) -> list[str]:
    """How long the car was in each phase."""
    seconds = {name: float(found.phases.mask(name).sum()) * found.frame.step for name in PHASES}
    told = [f"{name} {_duration(s)}" for name, s in seconds.items() if s >= found.frame.step]
    return [f"{', '.join(told)}."]


def _duration(seconds: float) -> str:
    return (
        f"{seconds:.1f} s" if seconds < 10.0 else f"{seconds:.0f} s" if seconds < 600.0 else f"{seconds / 60.0:.0f} min"
    )


def result_lines(found: Analysis, unit: str = "psi") -> list[str]:
    """Every result with its uncertainty, one line each."""
    return [*_standing(found, unit), *_following(found, unit), *_falling(found, unit), *_levels(found, unit),
            *_moving(found, unit), *_after(found, unit)]  # fmt: skip


def _standing(found: Analysis, unit: str) -> Iterator[str]:
    if found.rest is not None:
        yield f"Sensor before anything ran: {interval(found.rest, unit)}."
    for at, prime in enumerate(found.primes[:3], 1):
        which = f" {at}" if len(found.primes) > 1 else ""
        yield (f"Pump prime{which}, engine standing: {interval(prime.level, unit)}, "
               f"{prime.build.value:.1f} s from the pump's start to 95 % of it.")  # fmt: skip
    if found.cranking is not None:
        yield f"Cranking: {interval(found.cranking, unit)}."


def _following(found: Analysis, unit: str) -> Iterator[str]:
    follow = found.follow
    if follow is None:
        return
    line = follow.line
    yield f"Slope of rail over manifold pressure: {plain_interval(line.slope, 3)}; {SOUND_SLOPE}"
    yield f"Rail with the manifold at the air's pressure (base): {interval(line.at_zero, unit)}."
    for side, words in ((follow.vacuum_side, "below the air's pressure"), (follow.boost_side, "in boost")):
        if side is not None:
            yield f"Slope {words} alone: {plain_interval(side, 3)}."
    yield f"Straightness: no part strays more than {pressure(follow.off_line, unit)} from the line."
    if follow.ceiling is not None:
        end = follow.ceiling
        how = "stays at one figure" if end.flat else "falls short"
        yield (f"Ceiling: above {pressure(end.above, unit)} of manifold pressure the rail {how}, "
               f"{interval(end.rail, unit)}; at the top {pressure(end.short, unit)} are missing.")  # fmt: skip
    if found.lag is not None:
        yield f"The rail follows the manifold {plain_interval(found.lag.seconds, 2)} s late."
        if found.lag.hysteresis.error < PSI:
            yield f"Hysteresis: the rail stands {interval(found.lag.hysteresis, unit)} higher while the manifold falls."


_FLOW_WORDS = {"m3/s": "fuel flow", "duty": "injector duty", "air": "engine speed times manifold pressure"}


def _falling(found: Analysis, unit: str) -> Iterator[str]:
    if found.loss is not None:
        by = _FLOW_WORDS[found.loss.unit]
        fall = interval(found.loss.fall, unit)
        tail = "" if _one_to_one(found) else "; part of that is the slope's doing, not the flow's"
        yield f"Pressure across the injectors falls by {fall} from small to highest flow ({by}){tail}."
        if found.loss.knee is not None:
            share = found.loss.knee / max(float(found.loss.points.x.max()), 1e-12)
            yield f"It falls away from about {100.0 * share:.0f} % of the highest flow on."
    if found.volts is not None:
        yield f"Rail pressure for each volt: {_per(found.volts, unit)}."
    if found.drift is not None:
        yield f"Drift at the same manifold pressure: {interval(found.drift, unit)} in ten minutes of running."


def _one_to_one(found: Analysis) -> bool:
    return found.follow is None or abs(found.follow.line.slope.value - 1.0) < 0.05


def _per(line: Line, unit: str) -> str:
    return interval(line.slope, unit)


def _levels(found: Analysis, unit: str) -> Iterator[str]:
    for level in found.levels.values():
        yield _level(level, unit)


def _level(level: Level, unit: str) -> str:
    at = "" if level.manifold is None else f" at a manifold pressure of {pressure(level.manifold, unit)}"
    volts = "" if level.volts is None else f", {show(level.volts, 'voltage')}"
    return (
        f"{level.phase.capitalize()}: rail {interval(level.rail, unit)}{at}{volts}, {_duration(level.seconds)} of it."
    )


def _moving(found: Analysis, unit: str) -> Iterator[str]:
    ripple, moved = found.ripple, found.movement
    if ripple is not None:
        small = ripple.quick.value < 0.75 * ripple.resolution
        text = f"Ripple: {pressure(ripple.quick.value, unit)} standard deviation"
        if small:
            text += ", no more than the channel's own steps"
        elif ripple.hertz is not None:
            text += f", {ripple.hertz:.0f} times a second"
            text += f" ({ripple.order:.1f} for each turn of the crank)" if ripple.order is not None else ""
        yield text + "."
    if moved is not None:
        swing, creep = pressure(moved.swing, unit), pressure(moved.creep, unit)
        yield f"Longest idle: slow swings of {swing}, creep of {creep} a minute."


def _after(found: Analysis, unit: str) -> Iterator[str]:
    if found.held is not None:
        end = found.held
        yield (f"After switch-off: {interval(end.start, unit)}, and {_duration(end.seconds)} later "
               f"{interval(end.last, unit)}.")  # fmt: skip
        if end.half is not None:
            yield f"Half of it was gone after {_duration(end.half)}."


def log_lines(found: Analysis, unit: str = "psi", boosted: bool | None = None) -> list[str]:
    """The whole of it, with headings."""
    log = found.log
    rate = 1.0 / log.fine if log.fine > 0.0 else 0.0
    lines = [
        f"{log.name}: {log.read} rows, {_duration(float(log.seconds[-1] - log.seconds[0]))}, {rate:.4g} rows a second."
    ]
    lines += log.remarks
    lines += ["", "Columns", *(f"  {line}" for line in column_lines(log.layout))]
    lines += ["", "Phases", *(f"  {line}" for line in phase_lines(found))]
    lines += ["", "What the log says", *(f"  {line}" for line in result_lines(found, unit)), f"  {INTERVAL}"]
    if found.doubts:
        lines += ["", "Doubts about the sensors", *(f"  {doubt.text}" for doubt in found.doubts)]
    gaps = gaps_of(found, boosted)
    if gaps:
        lines += ["", "What it cannot say, and what to record next time"]
        lines += [f"  {gap.missing} {gap.next_time}" for gap in gaps]
    return lines


def report_part(found: Analysis, unit: str, pictures: Iterable[str]) -> DataLog:
    """The log as a part of a job's report."""
    lines = [*result_lines(found, unit), INTERVAL, *(doubt.text for doubt in found.doubts)]
    return DataLog(found.log.name, tuple(lines), tuple(pictures))


def about_line(found: Analysis, unit: str = "psi") -> str:
    """The log in one line, for the note in a case."""
    parts = [f"{found.log.read} rows"]
    if found.follow is not None:
        line = found.follow.line
        parts.append(f"slope {plain_interval(line.slope, 3)}, base {interval(line.at_zero, unit)}")
        if found.follow.ceiling is not None:
            parts.append(f"ceiling {interval(found.follow.ceiling.rail, unit)}")
    if found.loss is not None:
        parts.append(f"falls {interval(found.loss.fall, unit)} with flow")
    if found.drift is not None:
        parts.append(f"drift {interval(found.drift, unit)} in ten minutes")
    parts += [doubt.text for doubt in found.doubts]
    return "; ".join(parts) + "."
