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

from diag.fuelsystem.lines import line_constant

Array = NDArray[np.float64]

NAMES = (
    "tank", "outlet",  # gauge Pa: in the tank, where the return ends (tank plus check valve)
    "q0", "q1", "q_limit", "relief_at", "relief_slope",  # pump: flow = min(q0 - q1 d, limit) - relief
    "second_at", "second_slope", "hose_leak",  # between pump and filter
    "feed_linear", "feed_square", "feed_friction", "feed_reynolds", "feed_rough",
    "manifold", "injectors", "outside", "diaphragm_leak", "reference", "dead_at",
    "return_square", "return_friction", "return_reynolds", "return_rough",
    "valve", "leak", "lift_low", "lift_high", "resist_low", "resist_high", "spring",
    "area_rail", "area_return", "force", "scale", "start",
)  # fmt: skip
"""Coefficients that ``balance`` needs, each broadcastable to the common shape."""

_BLOCK = 16_384  # elements solved together: few enough to stay in the cache, many enough to pay for the calls
_SMALL = 1.0  # Pa; keeps roots away from zero
_FEW = 6  # rounds inside a block
_ROUNDS = 80
EXACT = 1e-5  # Pa
MET = 0.002  # share of the wanted closeness at which the valve's law counts as met


@dataclass(slots=True)
class FlowState:
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


def evaluate(c: Mapping[str, Array], rise: Array) -> FlowState:
    """All pressures and flows that follow from the pump's pressure rise, and how far the valve's law is from met."""
    pump = np.minimum(c["q0"] - c["q1"] * rise, c["q_limit"])
    pump = np.maximum(pump - c["relief_slope"] * np.maximum(rise - c["relief_at"], 0.0), 0.0)
    outlet = c["tank"] + rise
    hose = c["hose_leak"] * np.sqrt(rise)
    second = c["second_slope"] * np.maximum(outlet - c["second_at"], 0.0)
    feed = pump - hose - second
    flow = np.maximum(feed, 0.0)
    line = line_constant(flow, c["feed_square"], c["feed_friction"], c["feed_reynolds"], c["feed_rough"])
    rail = np.minimum(outlet - (line * flow + c["feed_linear"]) * flow, c["dead_at"])
    injected = c["injectors"] * np.sqrt(np.maximum(rail - c["manifold"], 0.0))
    leaked = c["outside"] * np.sqrt(np.maximum(rail, 0.0))
    leaked = leaked + c["diaphragm_leak"] * np.sqrt(np.maximum(rail - c["reference"], 0.0))
    rest = feed - injected - leaked
    flow = np.maximum(rest, 0.0)
    line = line_constant(flow, c["return_square"], c["return_friction"], c["return_reynolds"], c["return_rough"])
    back = c["outlet"] + line * flow * flow
    root = np.sqrt(np.maximum(rail - back, _SMALL))
    lift = np.clip((flow / root - c["leak"]) / c["valve"], c["lift_low"], c["lift_high"])
    force = (rail * c["area_rail"] + back * c["area_return"] - c["force"] - c["spring"] * lift) / c["area_rail"]
    drive = np.maximum(rail - c["outlet"], 0.0)
    floor = (np.sqrt(drive / (line + c["resist_low"])) - rest) * c["scale"]
    full = (np.sqrt(drive / (line + c["resist_high"])) - rest) * c["scale"]
    residual = np.maximum(floor, np.minimum(force, full))
    return FlowState(rise, pump, hose, second, feed, rail, injected, leaked, rest, back, residual)


def highest_rise(c: Mapping[str, Array]) -> Array:
    """The rise at which the pump delivers nothing: its own leakage or its relief valve takes all."""
    free = np.maximum(np.minimum(c["q0"], c["q_limit"]), 0.0)
    alone = np.maximum(c["q0"], 0.0) / c["q1"]
    return np.minimum(alone, c["relief_at"] + free / c["relief_slope"])


def balance(coefficients: Mapping[str, Array | float], within: float = EXACT) -> FlowState:
    """Solve for every element. Returns a State of the broadcast shape.

    Bracketed throughout (Chandrupatla's method), so it cannot run away; stops when the bracket is below ``within`` Pa
    plus 1e-11 of the pressure, or the valve's law is met to ``MET`` of that. Blocks that fit the cache come
    first; the few elements that need many rounds are then finished together.
    """
    arrays = [np.asarray(coefficients[name], dtype=float) for name in NAMES]
    shape = np.broadcast_shapes(*(a.shape for a in arrays))
    size = int(np.prod(shape, dtype=int))
    flat = {n: np.broadcast_to(a, shape).reshape(size) if a.ndim else a for n, a in zip(NAMES, arrays, strict=True)}
    rise = np.empty(size)
    late: list[tuple[NDArray[np.intp], _Bracket]] = []
    for begin in range(0, size, _BLOCK):
        end = min(begin + _BLOCK, size)
        block = {name: (a[begin:end] if a.ndim else a) for name, a in flat.items()}
        where, bracket = _start(block, rise[begin:end])
        left, bracket = _narrow(_take(block, where), bracket, rise[begin:end], where, _FEW, within)
        if left.size:
            late.append((left + begin, bracket))
    if late:
        where = np.concatenate([w for w, _ in late])
        _narrow(_take(flat, where), _join([b for _, b in late]), rise, where, _ROUNDS, within)
    return _close(evaluate(dict(zip(NAMES, arrays, strict=True)), rise.reshape(shape)))


def _close(state: FlowState) -> FlowState:
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


@dataclass(slots=True)
class _Bracket:
    """Latest point a, the end b on the other side of the root, the point before, and the residuals there."""

    a: Array
    b: Array
    c: Array
    fa: Array
    fb: Array
    fc: Array

    def keep(self, which: NDArray[np.intp]) -> _Bracket:
        return _Bracket(*(getattr(self, name)[which] for name in self.__slots__))


def _join(parts: list[_Bracket]) -> _Bracket:
    return _Bracket(*(np.concatenate([getattr(p, name) for p in parts]) for name in _Bracket.__slots__))


def _start(c: Mapping[str, Array], answer: Array) -> tuple[NDArray[np.intp], _Bracket]:
    """Bracket the root of each element of a block; ``answer`` is filled where there is nothing to bracket."""
    size = answer.size
    low = np.zeros(size)
    high = np.broadcast_to(highest_rise(c), (size,))
    first = np.clip(np.broadcast_to(c["start"], (size,)), 1e-3 * high, 0.999 * high)
    at_first = evaluate(c, first).residual
    second = np.clip(first - 1.1 * at_first - np.copysign(200.0, at_first), low, high)
    at_second = evaluate(c, second).residual
    apart = (at_first > 0.0) != (at_second > 0.0)
    if not apart.all():
        # both on one side: go on from the second to the end of the range
        far = np.flatnonzero(~apart)
        end = np.where(at_first[far] > 0.0, low[far], high[far])
        at_end = evaluate(_take(c, far), end).residual
        first[far], at_first[far] = second[far], at_second[far]
        second[far], at_second[far] = end, at_end
        apart = ((at_first > 0.0) != (at_second > 0.0)) & (high > 0.0)
    # without a change of sign the root lies outside: no pump flow at all, or starved at the lower end
    answer[:] = np.where(at_first > 0.0, 0.0, high)
    where = np.flatnonzero(apart)
    a, b, fa, fb = first[where], second[where], at_first[where], at_second[where]
    return where, _Bracket(a, b, a, fa, fb, fa)


def _narrow(
    c: Mapping[str, Array], k: _Bracket, answer: Array, where: NDArray[np.intp], rounds: int, within: float
) -> tuple[NDArray[np.intp], _Bracket]:
    """Chandrupatla's method for some rounds; writes roots into ``answer[where]`` and returns what is not finished.

    The root of an element is taken the first time that it is close enough. Elements that are done stay in the arrays
    until enough are, and what further rounds would make of them depends on their neighbours: it is not looked at.
    """
    if not where.size:
        return where, k
    root = np.empty(where.size)
    settled = np.zeros(where.size, dtype=bool)
    t = np.clip(k.fa / (k.fa - k.fb), 0.02, 0.98)
    for round_ in range(rounds):
        x = k.a + t * (k.b - k.a)
        fx = evaluate(c, x).residual
        same = (fx > 0.0) == (k.fa > 0.0)
        k = _Bracket(
            x, np.where(same, k.b, k.a), np.where(same, k.a, k.b),
            fx, np.where(same, k.fb, k.fa), np.where(same, k.fa, k.fb),
        )  # fmt: skip
        nearer = np.abs(k.fa) < np.abs(k.fb)
        best = np.where(nearer, k.a, k.b)
        width = np.abs(k.b - k.a)
        tolerance = within + 1e-11 * best
        # Where the pump gives nothing any more the law is nearly met over many psi, so it has to be met far closer
        # than the pressure before it counts.
        done = (width <= tolerance) | (np.minimum(np.abs(k.fa), np.abs(k.fb)) <= MET * within)
        root = np.where(settled, root, best)
        settled |= done
        keep = np.flatnonzero(~settled)
        if keep.size < 0.7 * settled.size or round_ == rounds - 1:
            answer[where] = root
            where, c, k = where[keep], _take(c, keep), k.keep(keep)
            width, tolerance = width[keep], tolerance[keep]
            root, settled = root[keep], settled[keep]
            if not keep.size:
                break
        t = _next_share(k, 0.5 * tolerance / np.maximum(width, 1e-12))
    return where, k


def _next_share(k: _Bracket, least: Array) -> Array:
    """Where in the bracket to look next: inverse quadratic where it can be trusted, else the middle."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        xi = (k.a - k.b) / (k.c - k.b)
        phi = (k.fa - k.fb) / (k.fc - k.fb)
        trusted = (phi * phi < xi) & ((1.0 - phi) ** 2 < 1.0 - xi)
        share = k.fa / (k.fb - k.fa) * k.fc / (k.fb - k.fc)
        share += (k.c - k.a) / (k.b - k.a) * k.fa / (k.fc - k.fa) * k.fb / (k.fc - k.fb)
    least = np.minimum(least, 0.5)
    return np.clip(np.where(trusted & np.isfinite(share), share, 0.5), least, 1.0 - least)
