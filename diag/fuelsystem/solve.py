"""What every gauge on this car reads at a stated condition, for any number of imagined cars at once."""

from __future__ import annotations

from collections.abc import Callable, Collection, Generator, Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from diag.fuelsystem.balance import EXACT, FlowState
from diag.fuelsystem.circuit import Circuit, build, tank_gauge
from diag.fuelsystem.instruments import sensed, shown
from diag.fuelsystem.parameters import PARAMETERS
from diag.fuelsystem.points import OperatingCondition, condition
from diag.fuelsystem.rows import balance_all
from diag.fuelsystem.running import RUNNING, engine_readings
from diag.fuelsystem.switchoff import after_switch_off, closing_pressure
from diag.support.errors import UnknownNameError

Array = NDArray[np.float64]

QUANTITIES: tuple[str, ...] = (
    "rail pressure",
    "true rail pressure",
    "sensor pressure",
    "regulator outlet pressure",
    "pump outlet pressure",
    "return flow",
    "injector flow total",
    "pump flow",
    "pump amps",
    "pump volts",
    "feed volt drop",
    "contact volt drop",
    "joint volt drop",
    "ground volt drop",
    "battery volts",
    "filter drop",
    "feed drop",
    "reference pressure",
    "manifold vacuum",
    "manifold pressure",
    "injector pressure difference",
    "tank pressure",
    "return line drop",
    "seat drop",
    "valve lift",
    "volume caught",
    "gauge at rest",
    "pressure held share",
    *RUNNING,
)
"""Names of what can be asked for. Pressures are gauge Pa, flows m3/s, lift m; "manifold vacuum" is Pa below the
atmosphere, positive."""


class Complete(dict[str, Array]):
    """All parameters as arrays inside their limits; nobody changes them any more."""


def complete(parameters: Mapping[str, ArrayLike]) -> Complete:
    """All parameters as arrays inside their limits; what is missing takes its typical value.

    Raises:
        UnknownNameError: for a parameter nobody knows.
    """
    if isinstance(parameters, Complete):
        return parameters
    for name in parameters:
        if name not in PARAMETERS:
            raise UnknownNameError("parameter of the fuel system", name, PARAMETERS)
    full = Complete((name, np.asarray(about.typical)) for name, about in PARAMETERS.items())
    for name, given in parameters.items():
        about, value = PARAMETERS[name], np.asarray(given, dtype=float)
        # the comparison is false for NaN, so that NaN is mended too; most values are fine and pass untouched
        if not (value.size and value.min() >= about.low and value.max() <= about.high):
            value = np.clip(np.where(np.isnan(value), about.typical, value), about.low, about.high)
        full[name] = value
    return full


def solve(
    parameters: Mapping[str, ArrayLike],
    settings: Mapping[str, str | float],
    wanted: Collection[str],
    within: float = EXACT,
) -> dict[str, Array]:
    """Steady readings at a condition.

    Args:
        parameters: values by parameter name, any shapes that broadcast together; missing ones take typical values.
        settings: the condition, as ``diag.fuelsystem.points`` documents.
        wanted: names out of ``QUANTITIES``.
        within: Pa, how closely pressures are solved; larger is faster where thousands of cars are only averaged.

    Returns:
        For each wanted name an array of the broadcast shape; never NaN, no flow below zero. "rail pressure" is what
        the gauge named in the settings shows, "true rail pressure" what is really there.

    Raises:
        UnknownNameError, QuantityError: for names and settings nobody knows.
    """
    return solve_all([(parameters, settings, wanted)], within)[0]


Question = tuple[Mapping[str, ArrayLike], Mapping[str, "str | float"], Collection[str]]
Work = Generator[Mapping[str, Array], FlowState, dict[str, Array]]  # gives coefficients, is sent the state


def solve_all(questions: Sequence[Question], within: float = EXACT) -> list[dict[str, Array]]:
    """As ``solve`` for several lots of cars, conditions and quantities; their balances are found together."""
    works = [_work(complete(parameters), settings, wanted) for parameters, settings, wanted in questions]
    answers: dict[int, dict[str, Array]] = {}
    waiting: dict[int, Mapping[str, Array]] = {}
    for at, work in enumerate(works):
        try:
            waiting[at] = next(work)
        except StopIteration as done:
            answers[at] = done.value
    states = balance_all(list(waiting.values()), within) if waiting else []
    for at, state in zip(waiting, states, strict=True):
        try:
            works[at].send(state)
        except StopIteration as done:
            answers[at] = done.value
    return [answers[at] for at in range(len(works))]


def _work(p: Mapping[str, Array], settings: Mapping[str, str | float], wanted: Collection[str]) -> Work:
    for name in wanted:
        if name not in QUANTITIES:
            raise UnknownNameError("quantity of the fuel system", name, QUANTITIES)
    at = condition(settings)
    shape = np.broadcast_shapes(*(a.shape for a in p.values()))
    values = yield from _pump_off(p, at) if at.pump == "off" else _pump_on(p, at, wanted)
    return {name: np.broadcast_to(values[name], shape).astype(float) for name in wanted}


def _readings(
    p: Mapping[str, Array], at: OperatingCondition, c: Circuit, s: FlowState
) -> dict[str, Callable[[], Array]]:
    """What each gauge would show, worked out when it is called for."""
    k = c.coefficients
    flow = s.return_flow
    outlet = k["tank"] + s.rise
    amps = c.supply.current(s.rise)
    below = np.maximum(s.back, np.minimum(k["outlet"], 0.0))
    return {
        "rail pressure": lambda: shown(p, at, s.rail, outlet, below),
        "true rail pressure": lambda: s.rail,
        "sensor pressure": lambda: sensed(p, s.rail),
        "regulator outlet pressure": lambda: below,
        "pump outlet pressure": lambda: outlet,
        "return flow": lambda: flow,
        "injector flow total": lambda: s.injector_flow,
        "pump flow": lambda: s.pump_flow,
        "pump amps": lambda: amps,
        "pump volts": lambda: c.supply.motor_volts(s.rise),
        # From battery positive to pump positive: also what a speed controller or an open switch keeps.
        "feed volt drop": lambda: c.supply.battery - c.supply.motor_volts(s.rise) - c.supply.ground * amps,
        "contact volt drop": lambda: c.supply.contacts * amps,
        "joint volt drop": lambda: c.supply.joint * amps,
        "ground volt drop": lambda: c.supply.ground * amps,
        "battery volts": lambda: c.supply.battery,
        "filter drop": lambda: k["feed_linear"] * s.feed_flow + _filter_square(p) * s.feed_flow**2,
        "feed drop": lambda: np.maximum(outlet - s.rail, 0.0),
        "reference pressure": lambda: c.reference,
        "manifold vacuum": lambda: np.maximum(-c.manifold, 0.0),
        "manifold pressure": lambda: c.manifold,
        "injector pressure difference": lambda: np.maximum(s.rail - c.manifold, 0.0),
        "tank pressure": lambda: c.tank,
        "return line drop": lambda: np.maximum(s.back - k["outlet"], 0.0),
        "seat drop": lambda: np.maximum(s.rail - s.back, 0.0),
        "valve lift": lambda: _lift(k, s),
        "volume caught": lambda: flow,
        "gauge at rest": lambda: shown(p, at, np.zeros(()), np.zeros(()), np.zeros(())),
        "pressure held share": lambda: np.ones(()),
    }


def _lift(k: Mapping[str, Array], s: FlowState) -> Array:
    root = np.sqrt(np.maximum(s.rail - s.back, 1.0))
    return np.clip((s.return_flow / root - k["leak"]) / k["valve"], k["lift_low"], k["lift_high"])


def _filter_square(p: Mapping[str, Array]) -> Array:
    return 0.5 * p["filter clean drop"] * p["filter restriction"] / p["pump rated flow"] ** 2


def _pump_on(p: Mapping[str, Array], at: OperatingCondition, wanted: Collection[str]) -> Work:
    circuit = build(p, at)
    state = yield circuit.coefficients
    readings = _readings(p, at, circuit, state)
    shown_now = {name: readings[name]() for name in wanted if name in readings}
    return shown_now | engine_readings(p, at, circuit, state, wanted)


def _pump_off(p: Mapping[str, Array], at: OperatingCondition) -> Work:
    """The pump ran with the engine off until it was switched off; then the pressure decays."""
    running = OperatingCondition(pump="on", engine="off", hose="off", screw=at.screw, heat=at.heat)
    circuit = build(p, running)
    nothing = np.zeros(())
    before = volts = nothing
    if at.minutes is not None:
        state = yield circuit.coefficients
        before = state.rail
        volts = np.where(p["pump runs on"] > 0.5, circuit.supply.motor_volts(state.rise), 0.0)
    held = after_switch_off(p, at, closing_pressure(p, at, before, circuit.valve.opens_at))
    held = np.where(p["pump runs on"] > 0.5, before, held)
    share = np.where(before > 0.0, held / np.maximum(before, 1.0), 0.0)
    zero = dict.fromkeys(QUANTITIES, nothing)
    return zero | {
        "rail pressure": shown(p, at, held, held, nothing),
        "true rail pressure": held,
        "sensor pressure": sensed(p, held),
        "pump outlet pressure": held,
        "battery volts": circuit.supply.battery,
        "pump volts": volts,
        "tank pressure": tank_gauge(p, at),
        "regulator outlet pressure": nothing,
        "injector pressure difference": held,
        "seat drop": held,
        "gauge at rest": shown(p, at, nothing, nothing, nothing),
        "pressure held share": share,
    }
