"""How wide the unknown is: the spread of every parameter, with and without the field that tells it.

All figures here are trade judgement about street and hobby cars unless a source stands beside them. "sd" is a
standard deviation; "log sd" that of the natural logarithm.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from diag.fuelsystem.car import Car, describe_fuel, hose_off_target
from diag.fuelsystem.constants import BAR, INHG, LITRE_PER_HOUR, PSI, SEA_LEVEL, SET_TO_TARGET
from diag.fuelsystem.electrics import wire_resistance
from diag.fuelsystem.fluids import FUELS, air_pressure, fuel_burnt
from diag.fuelsystem.normal import inverse_normal
from diag.fuelsystem.parameters import PARAMETERS
from diag.fuelsystem.regulator import LIFT_SHARE, areas, valve_constant

Array = NDArray[np.float64]
_LH = LITRE_PER_HOUR
_SET_SPREAD = 1.2 * PSI  # how near the target people set a sound regulator
_ADJUSTED_NEAR = 0.6  # share of later adjustments that end near the target
_STRONG_PUMP = 210 * _LH  # rated flow from which a pump is one for strong engines
_NO_LAMBDA = 0.25  # share of cars without a lambda control, or with one that is switched off
_INJECTORS = (4.0, 6.0, 8.0)
_INJECTOR_SHARES = (0.55, 0.25, 0.20)


class Drawer:
    """Turns uniform columns into the parameters of one car; each method draws one group."""

    def __init__(self, car: Car, n: int, column: Callable[[str], Array], epoch: Callable[[str], int]) -> None:
        self.car, self.n, self.column, self.epoch = car, n, column, epoch
        self.out: dict[str, Array] = {}

    def all(self) -> dict[str, Array]:
        """Every parameter of the registry, each of shape (n,) and inside its limits."""
        for group in (self.fuel_and_air, self.engine, self.pump, self.electrics, self.lines, self.valve, self.setting,
                      self.small_leaks, self.control):  # fmt: skip
            group()
        whole: dict[str, Array] = {}
        for name, about in PARAMETERS.items():
            value = self.out.get(name, np.full(self.n, about.typical))
            whole[name] = np.clip(np.broadcast_to(value, (self.n,)), about.low, about.high)
        return whole

    # -- shapes -------------------------------------------------------------------------------------------------
    def normal(self, name: str, mean: ArrayLike, sd: ArrayLike) -> Array:
        """A bell curve."""
        return np.asarray(mean) + np.asarray(sd) * inverse_normal(self.column(name))

    def log(self, name: str, median: ArrayLike, log_sd: ArrayLike) -> Array:
        """A bell curve on the logarithm."""
        return np.asarray(median) * np.exp(np.asarray(log_sd) * inverse_normal(self.column(name)))

    def told(self, name: str, field: str, tolerance: float, median: ArrayLike, log_sd: float) -> Array:
        """A known field with a relative tolerance, or else a prior around ``median``."""
        value = self.car.number(field)
        if value is None:
            return self.log(name, median, log_sd)
        return value * np.exp(tolerance * inverse_normal(self.column(name)))

    # -- groups -------------------------------------------------------------------------------------------------
    def fuel_and_air(self) -> None:
        """Fuel, atmosphere and tank."""
        fuel = FUELS[describe_fuel(self.car)]
        unsure = 1.0 if self.car.word("fuel") else 1.5
        o = self.out
        o["fuel density"] = self.log("fuel density", fuel.density, unsure * fuel.density_spread)
        o["fuel viscosity"] = self.log("fuel viscosity", fuel.viscosity, unsure * fuel.viscosity_spread)
        o["fuel vapour pressure"] = self.log("fuel vapour pressure", fuel.vapour, unsure * fuel.vapour_spread)
        o["fuel temperature"] = self.normal("fuel temperature", 296.0, 6.0)
        altitude = self.car.number("altitude")
        if altitude is None:
            height = 400.0 * -np.log(1.0 - self.column("atmosphere")) * 0.6
            o["atmosphere"] = air_pressure(np.minimum(height, 2500.0))
        else:
            o["atmosphere"] = air_pressure(altitude) + 600.0 * inverse_normal(self.column("atmosphere"))
        level = self.car.number("fuel-level")
        if level is None:
            o["tank level"] = 0.1 + 0.85 * self.column("tank level")
        else:
            o["tank level"] = self.normal("tank level", level, 0.05)
        o["tank volume"] = self.log("tank volume", 0.045, 0.3)
        o["tank pressure"] = self.normal("tank pressure", 0.0, 300.0)

    def engine(self) -> None:
        """Vacuum, boost and what the engine burns."""
        car, o = self.car, self.out
        vacuum = car.number("idle-vacuum")
        if vacuum is None:
            thin = SEA_LEVEL - o["atmosphere"]
            o["idle vacuum"] = np.clip(self.normal("idle vacuum", 18 * INHG - thin, 2 * INHG), 2 * INHG, None)
        else:
            o["idle vacuum"] = self.normal("idle vacuum", vacuum, 0.4 * INHG)
        boost = car.number("boost")
        o["boost pressure"] = np.zeros(self.n) if boost is None else boost * self.log("boost pressure", 1.0, 0.05)
        fuel = FUELS[describe_fuel(car)]
        low, high = fuel.bsfc_boosted if boost else fuel.bsfc
        count = self._injectors()
        power, each = car.number("engine-power"), car.number("injector-flow")
        specific = low + (high - low) * self.column("full load demand")
        if power is not None:
            demand = fuel_burnt(power, specific, o["fuel density"])
            size = 0.35 if each is None else 0.03
        elif each is not None:
            demand, size = 0.8 * each * count * self.log("full load demand", 1.0, 0.15), 0.03
        else:
            demand, size = fuel.volume * self.log("full load demand", 75 * _LH, 0.4), 0.2
        o["full load demand"] = demand
        o["injector flow"] = self.told("injector flow", "injector-flow", 0.03, demand / (0.8 * count), size)
        o["injector count"] = count
        if each is None:  # whoever built it chose injectors that are large enough
            o["injector flow"] = np.maximum(o["injector flow"], demand / (0.95 * count))
        o["idle demand"] = self.log("idle demand", 0.9 * _LH * fuel.volume + 0.018 * demand, 0.25)

    def _injectors(self) -> Array:
        told = self.car.number("injector-count")
        if told is not None:
            return np.full(self.n, told)
        edges = np.cumsum(_INJECTOR_SHARES)[:-1]
        return np.asarray(_INJECTORS)[np.searchsorted(edges, self.column("injector count"))]

    def pump(self) -> None:
        """Size, rating and relief of the pump."""
        car, o = self.car, self.out
        median = np.maximum(220 * _LH, 1.3 * o["full load demand"]) if car.number("engine-power") else 220 * _LH
        o["pump rated flow"] = self.told("pump rated flow", "pump-flow", 0.06, median, 0.35)
        o["pump rated pressure"] = self.told("pump rated pressure", "pump-pressure", 0.01, 3 * BAR, 0.05)
        o["pump rated volts"] = self.told("pump rated volts", "pump-volts", 0.005, 13.2, 0.04)
        o["pump slope"] = self.log("pump slope", 0.25, 0.3)
        # Pumps of road cars dead-head at 64 to 85 psi (service texts), stronger ones at 80 to 130; nobody builds with
        # one that opens below what the car needs, unless it is at fault.
        usual = np.where(o["pump rated flow"] < _STRONG_PUMP, 4.6 * BAR, 6.6 * BAR)
        relief = self.told("pump relief pressure", "pump-relief", 0.05, usual, 0.13)
        needed = (hose_off_target(car) or 3.0 * BAR) + (car.number("boost") or 0.0)
        o["pump relief pressure"] = np.maximum(relief, np.maximum(1.15 * o["pump rated pressure"], 1.1 * needed))
        o["pump efficiency"] = self.log("pump efficiency", 0.25, 0.2)
        o["pump flow factor"] = self.normal("pump flow factor", 0.98, 0.03)
        pumps = car.word("pumps")
        o["second pump part"] = np.full(self.n, 0.0 if pumps in ("", "one") else 0.5)
        o["second pump staged"] = np.full(self.n, 1.0 if pumps == "staged" else 0.0)

    def electrics(self) -> None:
        """Battery, charging and the wires to the pump."""
        car, o = self.car, self.out
        told = car.number("battery-volts")
        running = told is not None and 13.0 < told < 17.0
        rest = 12.5 if told is None or running else told
        o["battery volts"] = self.normal("battery volts", rest, 0.2 if told is None or running else 0.05)
        lift = told - 12.5 if told is not None and running else 1.4
        o["charging lift"] = self.normal("charging lift", lift, 0.25 if not running else 0.1)
        area, length = car.number("wire"), car.number("wire-length")
        if area is None:
            thicker = np.sqrt(220 * _LH / o["pump rated flow"])  # a bigger pump gets a somewhat thicker wire
            o["feed wire resistance"] = self.log("feed wire resistance", 0.03 * thicker, 0.4)
        else:
            run = length if length is not None else 4.5 * np.exp(0.2 * inverse_normal(self.column("wire length")))
            warm = wire_resistance(area, run, 303.15)
            o["feed wire resistance"] = self.log("feed wire resistance", warm, 0.05 if length is not None else 0.06)
        o["ground resistance"] = self.log("ground resistance", 0.010, 0.4)
        o["contact resistance"] = self.log("contact resistance", 0.010, 0.4)
        o["pump current factor"] = self.log("pump current factor", 1.0, 0.08)
        o["load drop"] = self.log("load drop", 0.3, 0.4)

    def lines(self) -> None:
        """Feed, filter and return."""
        o = self.out
        o["feed bore"] = self.told("feed bore", "feed-bore", 0.02, 7.9e-3, 0.12)
        o["feed length"] = self.told("feed length", "feed-length", 0.05, 4.0, 0.25)
        o["filter clean drop"] = self.log("filter clean drop", 7e3, 0.35)
        o["return bore"] = self.told("return bore", "return-bore", 0.02, 7.6e-3, 0.15)
        o["return length"] = self.told("return length", "return-length", 0.05, 3.5, 0.25)
        bends = self.car.number("return-bends")
        o["return bends"] = (
            self.log("return bends", 5.0, 0.35) if bends is None else self.normal("return bends", bends, 0.3)
        )
        entry = 0.85 * np.minimum(o["return bore"], 9e-3)
        o["tank return entry bore"] = self.told("tank return entry bore", "tank-entry-bore", 0.02, entry, 0.12)

    def valve(self) -> None:
        """The regulator's inside."""
        o = self.out
        o["seat diameter"] = self.told("seat diameter", "seat-diameter", 0.02, 5.2e-3, 0.15)
        o["diaphragm diameter"] = self.told("diaphragm diameter", "diaphragm-diameter", 0.02, 32e-3, 0.08)
        o["spring rate"] = self.log("spring rate", 3e4, 0.25)
        share = np.minimum(self.log("valve lift limit", LIFT_SHARE, 0.07), 1.0)
        o["valve lift limit"] = 0.25 * share * o["seat diameter"]
        o["valve discharge"] = self.log("valve discharge", 0.65, 0.05)
        o["reference gain"] = self.normal("reference gain", 0.99, 0.008)
        o["diaphragm friction"] = self.log("diaphragm friction", 1.2e3, 0.5)
        o["friction side"] = 2.0 * self.column("friction side") - 1.0

    def setting(self) -> None:
        """The target and where the screw stands."""
        o, car = self.out, self.car
        target = hose_off_target(car)
        if target is None:
            u = self.column("target pressure")
            o["target pressure"] = np.clip(3.25 * BAR + 0.5 * BAR * inverse_normal(u), 2.0 * BAR, 5.0 * BAR)
        elif car.word("target-hose") == "on":
            o["target pressure"] = (car.number("target-pressure") or 0.0) + o["idle vacuum"]
        else:
            o["target pressure"] = np.full(self.n, target)
        # The screw was set with the pump running, so the rail then read the target; the setting itself is lower by
        # the rise with flow.
        usual = o["target pressure"] - self._rise()
        o["set pressure"] = near = usual + _SET_SPREAD * inverse_normal(self.column("set pressure"))
        low, high = self._screw(usual)
        if self.epoch("set pressure"):
            aimed = self.epoch(SET_TO_TARGET) == self.epoch("set pressure")
            # A repair that ends with setting the base sets it; one that failed is the remedy's botch, not a sound car.
            o["set pressure"] = near if aimed else self._adjusted(usual, low, high)
        # A told range binds the setting: a target outside it cannot be reached. An unknown one is wide enough.
        if car.number("regulator-low") is not None:
            o["set pressure"] = np.maximum(o["set pressure"], low)
        if car.number("regulator-high") is not None:
            o["set pressure"] = np.minimum(o["set pressure"], np.maximum(high, low))
        o["screw out pressure"] = np.minimum(low, o["set pressure"])
        o["screw in pressure"] = np.maximum(high, o["set pressure"])

    def _rise(self) -> Array:
        o = self.out
        whole, seat = areas(o["diaphragm diameter"], o["seat diameter"])
        c = valve_constant(o["seat diameter"], o["fuel density"], o["valve discharge"])
        flow = 0.92 * o["pump rated flow"]
        lift = np.minimum(flow / (c * np.sqrt(o["target pressure"])), o["valve lift limit"])
        return np.minimum(o["spring rate"] * lift / (whole - seat), 4 * PSI)

    def _screw(self, usual: Array) -> tuple[Array, Array]:
        low, high = self.car.number("regulator-low"), self.car.number("regulator-high")
        if low is None:
            out = np.minimum(self.normal("screw out pressure", 2.1 * BAR, 0.4 * BAR), usual - 2 * PSI)
        else:
            out = self.normal("screw out pressure", low, 0.8 * PSI)
        if high is None:
            in_ = np.maximum(self.normal("screw in pressure", 5.4 * BAR, 0.8 * BAR), usual + 3 * PSI)
        else:
            in_ = self.normal("screw in pressure", high, 1.5 * PSI)
        return np.maximum(out, 0.2 * BAR), np.maximum(in_, out + 1 * PSI)

    def _adjusted(self, usual: Array, low: Array, high: Array) -> Array:
        """After somebody turned the screw: near the target as a rule, else anywhere in its travel."""
        u, share = self.column("set pressure"), _ADJUSTED_NEAR
        near = usual + 1.5 * PSI * inverse_normal(np.clip(u / share, 1e-3, 1 - 1e-3))
        anywhere = low + (high - low) * (u - share) / (1.0 - share)
        return np.where(u < share, near, anywhere)

    def small_leaks(self) -> None:
        """What a sound system still loses after switch-off."""
        o = self.out
        for name in ("pump check valve leak", "seat leak", "injector leak"):
            o[name] = self.log(name, 3e-12, 0.7)
        o["rail compliance"] = self.log("rail compliance", 3e-12, 0.4)
        o["cooling shrink"] = self.log("cooling shrink", 900.0, 0.6)

    def control(self) -> None:
        """How well a sound engine is set up: fuel tables, lambda control, what lags and how hot a rail gets."""
        o = self.out
        o["fuelling"] = self.log("fuelling", 1.0, 0.02)
        o["idle fuelling"] = self.log("idle fuelling", 1.0, 0.03)
        o["load fuelling"] = self.log("load fuelling", 1.0, 0.025)
        o["cranking fuelling"] = self.log("cranking fuelling", 1.0, 0.15)
        u = self.column("trim authority")
        without = _NO_LAMBDA
        o["trim authority"] = np.where(u < without, 0.0, 0.15 + 0.15 * (u - without) / (1.0 - without))
        o["lambda error"] = self.normal("lambda error", 0.0, 0.015)
        o["weakest injector"] = 1.0 - 0.03 * np.abs(inverse_normal(self.column("weakest injector")))
        o["reference lag"] = self.log("reference lag", 0.03, 0.5)
        o["diaphragm lag"] = self.log("diaphragm lag", 0.05, 0.5)
        o["hot rail temperature"] = self.normal("hot rail temperature", 338.0, 7.0)
