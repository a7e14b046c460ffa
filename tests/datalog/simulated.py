"""Made data logs with a known truth. Nothing here uses the program: its own drive, its own rail, its own sensors.

Units are those of a logger: psi, kPa absolute, rpm, per cent, volts. The static law of the rail is
``base + slope * manifold - droop * flow``; lag, pump limits, noise, resolution and dropouts come on top.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

KPA = 0.1450377377  # psi in a kilopascal: 1 / 6.894757, NIST SP 811
Array = np.ndarray


@dataclass(frozen=True)
class Made:
    """What is true of the car and the logger. Pressures in psi above the air unless the name says kPa."""

    seed: int = 1
    rate: float = 20.0  # rows a second
    base: float = 43.5
    slope: float = 1.0
    droop: float = 0.2  # psi lost from no flow to full flow, as a sound regulator gives
    idle_kpa: float = -62.0
    boost_kpa: float = 90.0
    lag: float = 0.12  # s, hose and sensor together
    noise: float = 0.25  # psi, one standard deviation
    map_noise: float = 0.4  # kPa
    resolution: float = 0.1  # psi
    ripple: float = 0.0  # psi, amplitude
    ripple_hz: float = 30.0
    dropouts: float = 0.002  # share of rows in which the rail reads nonsense
    ceiling: float | None = None  # psi the rail never passes
    starve: float = 0.0  # psi lost at full flow beyond 60 % of it
    volts_effect: float = 0.0  # psi for each volt below 13.8
    volts_fall: float = 0.0  # how far the volts sink over the run
    fade: float = 0.0  # psi lost evenly over the run
    offset: float = 0.0  # psi the sensor reads high
    scale: float = 1.0
    build: float = 0.25  # s, time constant of the prime
    hold: float = 2500.0  # s, time constant after switch-off
    at_rest: float = 0.0  # psi in the rail before the prime
    minutes: float = 6.0  # of driving
    off: float = 60.0  # s logged after switch-off
    air_kpa: float = 100.6


@dataclass(frozen=True)
class MadeLog:
    """The columns as logged, and what a perfect instrument would have shown."""

    truth: Made
    columns: dict[str, Array]
    static: Array = field(repr=False)  # rail by the static law, psi
    manifold: Array = field(repr=False)  # psi above the air
    running: Array = field(repr=False)


def _drive(made: Made, rng: np.random.Generator) -> tuple[Array, Array, Array, Array]:
    """Time, engine speed, manifold in kPa above the air, and whether the pump runs."""
    step = 1.0 / made.rate
    pieces: list[tuple[float, float, float, float]] = [  # seconds, rpm, manifold kPa, pump
        (3.0, 0, 0, 0), (3.0, 0, 0, 1), (1.0, 0, 0, 0), (1.4, 220, -4, 1), (25.0, 900, made.idle_kpa, 1),
    ]  # fmt: skip
    left = made.minutes * 60.0
    while left > 0.0:
        kind = rng.choice(["cruise", "part", "pull", "overrun", "idle", "snap"], p=[0.34, 0.22, 0.2, 0.08, 0.12, 0.04])
        if kind == "cruise":
            piece = (rng.uniform(5, 18), rng.uniform(1900, 3200), made.idle_kpa * rng.uniform(0.45, 0.85), 1)
        elif kind == "part":
            piece = (rng.uniform(3, 9), rng.uniform(2200, 4200), rng.uniform(made.idle_kpa * 0.4, -8), 1)
        elif kind == "pull":
            top = made.boost_kpa * rng.uniform(0.3, 1.0) if made.boost_kpa > 0 else -2.0
            piece = (rng.uniform(3, 7), rng.uniform(3500, 6500), top, 1)
        elif kind == "overrun":
            piece = (rng.uniform(2, 5), rng.uniform(2500, 4000), made.idle_kpa - rng.uniform(6, 14), 1)
        elif kind == "snap":
            piece = (0.8, 3000, -10, 1)
        else:
            piece = (rng.uniform(8, 20), 900, made.idle_kpa, 1)
        pieces.append(piece)
        left -= piece[0]
    pieces += [(12.0, 900, made.idle_kpa, 1), (made.off, 0, 0, 0)]
    counts = [max(1, round(p[0] / step)) for p in pieces]
    target_rpm = np.repeat([p[1] for p in pieces], counts)
    target_map = np.repeat([p[2] for p in pieces], counts)
    pump = np.repeat([p[3] for p in pieces], counts)
    time = np.arange(len(pump)) * step
    rpm = follow(target_rpm, step, 0.5)
    rpm = np.where((target_rpm > 0) & (rpm < 200), 220, rpm) * (1 + 0.004 * np.sin(2 * np.pi * 0.7 * time))
    rpm = np.where((target_rpm == 0) & (rpm < 150), 0, rpm)
    manifold = follow(target_map, step, 0.25) + np.where(rpm > 0, 0.5 * np.sin(2 * np.pi * 0.31 * time), 0.0)
    return time, rpm, manifold, pump.astype(bool)


def follow(target: Array, step: float, constant: float) -> Array:
    """A first-order lag, row by row."""
    share = 1.0 - np.exp(-step / constant)
    out = np.empty(len(target))
    now = float(target[0])
    for at, wanted in enumerate(target):
        now += share * (float(wanted) - now)
        out[at] = now
    return out


def made_log(made: Made) -> MadeLog:
    """One log with its truth."""
    rng = np.random.default_rng(made.seed)
    step = 1.0 / made.rate
    time, rpm, kpa, pump = _drive(made, rng)
    running = rpm > 450
    manifold = kpa * KPA
    flow = np.where(running, rpm * (made.air_kpa + kpa), 0.0)
    flow = flow / (6500.0 * (made.air_kpa + max(made.boost_kpa, 0.0)))  # share of the highest
    static = made.base + made.slope * manifold - made.droop * flow
    volts = np.where(running, 13.8, 12.3) - made.volts_fall * time / time[-1]
    true = static - made.starve * np.clip((flow - 0.6) / 0.4, 0.0, None) - made.fade * time / time[-1]
    true = true - made.volts_effect * np.clip(13.8 - volts, 0.0, None) * running
    if made.ceiling is not None:
        true = np.minimum(true, made.ceiling)
    rail = _with_pump(true, pump, step, made)
    shown = rail + made.ripple * np.sin(2 * np.pi * made.ripple_hz * time) * running
    shown = shown * made.scale + made.offset + made.noise * rng.standard_normal(len(time))
    shown = np.round(shown / made.resolution) * made.resolution
    lost = rng.random(len(time)) < made.dropouts
    shown = np.where(lost, rng.choice([0.0, 150.0, -5.0], len(time)), shown)
    columns = {
        "Time (s)": np.round(time, 4),
        "RPM": np.round(rpm),
        "MAP (kPa)": np.round(kpa + made.air_kpa + made.map_noise * rng.standard_normal(len(time)), 1),
        "Fuel Pressure (psi)": shown,
        "Battery (V)": np.round(volts + 0.03 * rng.standard_normal(len(time)), 2),
        "Throttle (%)": np.round(np.where(kpa < made.idle_kpa * 0.95, 0.0, np.clip(60 + kpa, 2, 100)), 1),
        "Inj Duty (%)": np.round(100 * 0.8 * flow, 1),
        "Coolant (C)": np.round(60 + 30 * np.minimum(time / 300.0, 1.0), 1),
    }
    return MadeLog(made, columns, static, manifold, running)


def _with_pump(true: Array, pump: Array, step: float, made: Made) -> Array:
    """The rail builds while the pump runs, follows with a lag, and decays when it does not."""
    out = np.empty(len(true))
    now = made.at_rest
    build, follow_on = 1 - np.exp(-step / made.build), 1 - np.exp(-step / max(made.lag, 1e-6))
    hold = np.exp(-step / made.hold)
    for at, wanted in enumerate(true):
        if pump[at]:
            now += (build if now < 0.8 * made.base and at * step < 12.0 else follow_on) * (wanted - now)
        else:
            now *= hold
        out[at] = now
    return out


def as_text(columns: dict[str, Array], separator: str = ",", comma: bool = False, order: Sequence[str] = ()) -> str:
    """The columns as a logger's text file."""
    names = list(order) or list(columns)
    out = io.StringIO()
    out.write(separator.join(names) + "\n")
    table = np.column_stack([columns[name] for name in names])
    np.savetxt(out, table, fmt="%.6g", delimiter=separator)
    text = out.getvalue()
    return text.replace(".", ",") if comma else text


def varied(seed: int) -> Made:
    """A car and a logger of the usual spread, for the figures of merit."""
    rng = np.random.default_rng(10_000 + seed)
    return replace(
        Made(),
        seed=seed,
        rate=float(rng.choice([10.0, 20.0, 25.0, 50.0])),
        base=float(rng.uniform(36, 60)),
        slope=float(rng.choice([1.0, 1.0, 1.02, 0.97, 0.6, 0.0, 1.5])),
        droop=float(rng.uniform(0.0, 0.5)),
        idle_kpa=float(rng.uniform(-72, -48)),
        boost_kpa=float(rng.choice([0.0, 50.0, 90.0, 140.0])),
        lag=float(rng.uniform(0.03, 0.3)),
        noise=float(rng.uniform(0.1, 0.7)),
        map_noise=float(rng.uniform(0.2, 0.8)),
        resolution=float(rng.choice([0.05, 0.1, 0.5])),
        ripple=float(rng.choice([0.0, 0.0, 0.6])),
        dropouts=float(rng.choice([0.0, 0.002, 0.01])),
        minutes=float(rng.uniform(3, 8)),
        off=30.0,
        air_kpa=float(rng.uniform(88, 102)),
    )
