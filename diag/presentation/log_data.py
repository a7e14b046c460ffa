"""What a data log says, as plain data for JSON: SI, with ends of 95 % intervals."""

from __future__ import annotations

import math
from typing import Any

from diag.datalog.analysis import Analysis
from diag.datalog.phases import PHASES
from diag.datalog.robust import Estimate
from diag.datalog.told import readings_of, signs_of
from diag.datalog.wanted import gaps_of


def log_data(found: Analysis, released: bool = False, hose_on: bool = True) -> dict[str, Any]:
    """One log. Figures that the log cannot give are null."""
    log, follow = found.log, found.follow
    return {
        "file": log.name,
        "rows": log.read,
        "seconds": _number(float(log.seconds[-1] - log.seconds[0])),
        "remarks": list(log.remarks),
        "columns": [
            {"channel": x.channel, "column": x.heading, "unit": x.unit, "counted": x.counted, "from": x.from_}
            for x in log.layout.columns.values()
        ],
        "confirmed": log.layout.sure,
        "phases": {n: _number(float(found.phases.mask(n).sum()) * found.frame.step) for n in PHASES},
        "slope": _estimate(follow.line.slope if follow else None),
        "base": _estimate(follow.line.at_zero if follow else None),
        "slope_below_air": _estimate(follow.vacuum_side if follow else None),
        "slope_in_boost": _estimate(follow.boost_side if follow else None),
        "ceiling": _estimate(follow.ceiling.rail if follow and follow.ceiling else None),
        "lag": _estimate(found.lag.seconds if found.lag else None),
        "hysteresis": _estimate(found.lag.hysteresis if found.lag else None),
        "fall_with_flow": _estimate(found.loss.fall if found.loss else None),
        "per_volt": _estimate(found.volts.slope if found.volts else None),
        "drift_in_ten_minutes": _estimate(found.drift),
        "ripple": _estimate(found.ripple.quick if found.ripple else None),
        "prime": [{"level": _estimate(p.level), "seconds_to_build": _estimate(p.build)} for p in found.primes],
        "at_rest": _estimate(found.rest),
        "after_switch_off": None if found.held is None else
        {"start": _estimate(found.held.start), "last": _estimate(found.held.last), "seconds": found.held.seconds},
        "levels": {n: {"rail": _estimate(x.rail), "manifold": _number(x.manifold)} for n, x in found.levels.items()},
        "doubts": [{"kind": d.kind, "channel": d.channel, "text": d.text} for d in found.doubts],
        "cannot_say": [{"missing": g.missing, "next_time": g.next_time} for g in gaps_of(found)],
        "readings": [
            {"reading": r.reading, "at": r.point, "value": r.value, "error": r.error, "bound": r.bound,
             "conditions": dict(r.conditions), "from": r.words}
            for r in readings_of(found, released, hose_on)
        ],
        "signs": [{"sign": s.sign, "answer": s.answer, "sure": s.sure, "from": s.words} for s in signs_of(found)],
    }  # fmt: skip


def _estimate(one: Estimate | None) -> dict[str, float | None] | None:
    if one is None or not math.isfinite(one.value):
        return None
    return {"value": one.value, "low": _number(one.low), "high": _number(one.high)}


def _number(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
