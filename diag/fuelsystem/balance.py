"""The one equation of the steady state, solved for many cars at once.

The unknown is the pump's pressure rise d. From d everything else follows without iteration: pump flow, what goes
back inside the tank, the flow and drop of the feed, rail pressure P, what injectors and leaks take, the rest Q that
the regulator must pass, and the back-pressure B that Q makes in the return. What is left is the valve's own law:

    wanted lift  x = (Q / sqrt(P - B) - leak) / c        c = Cd pi ds sqrt(2 / rho)
    force        F = [P a + B b - Pm A - F0 - k x] / a    a: area under the rail, b: area under the return

A valve between its stops has F = 0; on its lower stop Q is what floor and return line in a row let through; on its
upper stop Q is what the open seat and the return line let through. All three are the root of
max(floor - Q, min(F, open - Q)), which rises steadily with d.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.lines import churchill

Array = NDArray[np.float64]

NAMES = (
    "tank", "outlet",  # gauge Pa: in the tank, where the return ends (tank plus check valve)
    "q0", "q1", "q_limit", "relief_at", "relief_slope",  # pump: flow = min(q0 - q1 d, limit) - relief
    "second_at", "second_slope", "hose_leak",  # between pump and filter
    "feed_linear", "feed_square", "feed_friction", "feed_reynolds", "feed_rough",
    "manifold", "injectors", "outside", "diaphragm_leak", "reference", "dead_at",
    "return_square", "return_friction", "return_reynolds", "return_rough",
    "valve", "leak", "lift_low", "lift_high", "resist_low", "resist_high", "spring", "area_rail", "area_return", "force", "scale", "start",
)  # fmt: skip
"""Coefficients that ``balance`` needs, each broadcastable to the common shape."""

_BLOCK = 4096  # elements solved together, so that the working arrays stay in the cache
_SMALL = 1.0  # Pa; keeps roots away from zero
_ROUNDS = 80


@dataclass(slots=True)
class State:
    """Everything at the pump pressure rise ``rise``: pressures in gauge Pa, flows in m3/s, one shape for all."""

    rise: Array
    pump_flow: Array
    hose_flow: Array
    second_flow: Array
    feed_flow: Array
    rail: Array
    injector_flow: Array
    leak_flow: Array
    return_flow: Array
    back: Array
    residual: Array


def _line_constant(flow: Array, square: Array, friction: Array, reynolds: Array, rough: Array) -> Array:
    """Pascal per (m3/s)^2 of a line with its holes at this flow."""
    return square + friction * churchill(np.maximum(reynolds * flow, 1e-3), rough)


def evaluate(c: Mapping[str, Array], rise: Array) -> State:
    """All pressures and flows that follow from the pump's pressure rise, and how far the valve's law is from met."""
    pump = np.minimum(c["q0"] - c["q1"] * rise, c["q_limit"])
    pump = np.maximum(pump - c["relief_slope"] * np.maximum(rise - c["relief_at"], 0.0), 0.0)
    outlet = c["tank"] + rise
    hose = c["hose_leak"] * np.sqrt(rise)
    second = c["second_slope"] * np.maximum(outlet - c["second_at"], 0.0)
    feed = pump - hose - second
    flow = np.maximum(feed, 0.0)
    line = _line_constant(flow, c["feed_square"], c["feed_friction"], c["feed_reynolds"], c["feed_rough"])
    rail = np.minimum(outlet - (line * flow + c["feed_linear"]) * flow, c["dead_at"])
    injected = c["injectors"] * np.sqrt(np.maximum(rail - c["manifold"], 0.0))
    leaked = c["outside"] * np.sqrt(np.maximum(rail, 0.0))
    leaked = leaked + c["diaphragm_leak"] * np.sqrt(np.maximum(rail - c["reference"], 0.0))
    rest = feed - injected - leaked
    flow = np.maximum(rest, 0.0)
    line = _line_constant(flow, c["return_square"], c["return_friction"], c["return_reynolds"], c["return_rough"])
    back = c["outlet"] + line * flow * flow
    root = np.sqrt(np.maximum(rail - back, _SMALL))
    lift = np.clip((flow / root - c["leak"]) / c["valve"], c["lift_low"], c["lift_high"])
    force = (rail * c["area_rail"] + back * c["area_return"] - c["force"] - c["spring"] * lift) / c["area_rail"]
    drive = np.maximum(rail - c["outlet"], 0.0)
    floor = (np.sqrt(drive / (line + c["resist_low"])) - rest) * c["scale"]
    full = (np.sqrt(drive / (line + c["resist_high"])) - rest) * c["scale"]
    residual = np.maximum(floor, np.minimum(force, full))
    return State(rise, pump, hose, second, feed, rail, injected, leaked, rest, back, residual)


def highest_rise(c: Mapping[str, Array]) -> Array:
    """The rise at which the pump delivers nothing: its own leakage or its relief valve takes all."""
    free = np.maximum(np.minimum(c["q0"], c["q_limit"]), 0.0)
    alone = np.maximum(c["q0"], 0.0) / c["q1"]
    return np.minimum(alone, c["relief_at"] + free / c["relief_slope"])


def balance(coefficients: Mapping[str, Array | float]) -> State:
    """Solve for every element. Returns a State of the broadcast shape.

    Bracketed throughout (Chandrupatla's method), so it cannot run away; stops when the bracket is below 1e-3 Pa or
    1e-9 of the pressure, or the valve's law is met to 1e-3 Pa.
    """
    arrays = [np.asarray(coefficients[name], dtype=float) for name in NAMES]
    shape = np.broadcast_shapes(*(a.shape for a in arrays))
    size = int(np.prod(shape, dtype=int))
    flat = [np.broadcast_to(a, shape).reshape(size) if a.ndim else a for a in arrays]
    rise = np.empty(size)
    for begin in range(0, size, _BLOCK):
        part = slice(begin, min(begin + _BLOCK, size))
        block = {name: (a[part] if a.ndim else a) for name, a in zip(NAMES, flat, strict=True)}
        rise[part] = _roots(block, part.stop - begin)
    state = evaluate(dict(zip(NAMES, arrays, strict=True)), rise.reshape(shape))
    return _close(state)


def _close(state: State) -> State:
    """Share out what is there when the pump cannot even feed injectors and leaks; no flow ends below zero."""
    supply = np.maximum(state.feed_flow, 0.0)
    wanted = state.injector_flow + state.leak_flow
    share = np.where(wanted > supply, supply / np.maximum(wanted, 1e-300), 1.0)
    state.injector_flow = state.injector_flow * share
    state.leak_flow = state.leak_flow * share
    state.rail = np.maximum(state.rail, 0.0)
    state.return_flow = np.maximum(supply - state.injector_flow - state.leak_flow, 0.0)
    within = np.minimum(state.hose_flow, state.pump_flow)
    state.hose_flow = within
    state.second_flow = np.clip(state.pump_flow - within - supply, 0.0, None)
    state.feed_flow = supply
    return state


def _take(c: Mapping[str, Array], keep: NDArray[np.intp]) -> dict[str, Array]:
    return {name: (a[keep] if a.ndim else a) for name, a in c.items()}


def _roots(c: Mapping[str, Array], size: int) -> Array:
    """The pump pressure rise of each element of a flat block."""
    low = np.zeros(size)
    high = np.broadcast_to(highest_rise(c), (size,)).copy()
    first = np.clip(np.broadcast_to(c["start"], (size,)), 1e-3 * high, 0.999 * high)
    at_first = evaluate(c, first).residual
    step = 1.1 * at_first + np.copysign(200.0, at_first)
    second = np.clip(first - step, low, high)
    at_second = evaluate(c, second).residual
    apart = (at_first > 0.0) != (at_second > 0.0)
    end = np.where(at_first > 0.0, low, high)
    other = np.where(apart, second, end)
    if apart.all():
        at_other = at_second
    else:
        at_other = np.where(apart, at_second, evaluate(c, other).residual)
        inner = ~apart & ((at_first > 0.0) == (at_second > 0.0))
        first = np.where(inner, second, first)
        at_first = np.where(inner, at_second, at_first)
    answer = np.where(np.abs(at_first) < np.abs(at_other), first, other)
    open_ = np.flatnonzero(((at_first > 0.0) != (at_other > 0.0)) & (high > 0.0))
    # without a change of sign the root lies outside: no pump flow at all, or starved at the lower end
    stuck = np.flatnonzero(((at_first > 0.0) == (at_other > 0.0)) | (high <= 0.0))
    answer[stuck] = np.where(at_first[stuck] > 0.0, 0.0, high[stuck])
    if open_.size:
        answer[open_] = _chandrupatla(_take(c, open_), other[open_], first[open_], at_other[open_], at_first[open_])
    return answer


def _chandrupatla(c: Mapping[str, Array], b: Array, a: Array, fb: Array, fa: Array) -> Array:
    """Chandrupatla's bracketing method on whole arrays; finished elements leave the working set."""
    size = a.size
    answer = np.empty(size)
    where = np.arange(size)
    third, at_third = a.copy(), fa.copy()
    t = np.clip(fa / (fa - fb), 0.02, 0.98)
    for round_ in range(_ROUNDS):
        x = a + t * (b - a)
        fx = evaluate(c, x).residual
        same = (fx > 0.0) == (fa > 0.0)
        third = np.where(same, a, b)
        at_third = np.where(same, fa, fb)
        b = np.where(same, b, a)
        fb = np.where(same, fb, fa)
        a, fa = x, fx
        nearer = np.abs(fa) < np.abs(fb)
        best = np.where(nearer, a, b)
        width = np.abs(b - a)
        tolerance = 1e-3 + 1e-9 * np.abs(best)
        done = (width <= tolerance) | (np.minimum(np.abs(fa), np.abs(fb)) <= 1e-3) | (round_ == _ROUNDS - 1)
        if done.any():
            answer[where[done]] = best[done]
            keep = np.flatnonzero(~done)
            if not keep.size:
                break
            where, c = where[keep], _take(c, keep)
            a, b, fa, fb = a[keep], b[keep], fa[keep], fb[keep]
            third, at_third = third[keep], at_third[keep]
            width, tolerance = width[keep], tolerance[keep]
        t = _next_share(a, b, third, fa, fb, at_third, 0.5 * tolerance / width)
    return answer


def _next_share(a: Array, b: Array, third: Array, fa: Array, fb: Array, at_third: Array, least: Array) -> Array:
    """Where in the bracket to look next: inverse quadratic where it can be trusted, else the middle."""
    with np.errstate(divide="ignore", invalid="ignore"):
        xi = (a - b) / (third - b)
        phi = (fa - fb) / (at_third - fb)
        trusted = (phi * phi < xi) & ((1.0 - phi) ** 2 < 1.0 - xi)
        quadratic = fa / (fb - fa) * at_third / (fb - at_third)
        quadratic += (third - a) / (b - a) * fa / (at_third - fa) * fb / (at_third - fb)
    t = np.where(trusted & np.isfinite(quadratic), quadratic, 0.5)
    return np.clip(t, np.minimum(least, 0.5), 1.0 - np.minimum(least, 0.5))
