"""What must hold for every car, however broken: balance, signs of flow, limits and the direction of every effect."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diag.fuelsystem.car import car_from_texts
from diag.fuelsystem.constants import INHG, LITRE_PER_HOUR, PSI
from diag.fuelsystem.draws import draw
from diag.fuelsystem.parameters import PARAMETERS
from diag.fuelsystem.running import RUNNING
from diag.fuelsystem.solve import QUANTITIES, complete, solve
from diag.quantities import KINDS
from diag.support.errors import QuantityError, UnknownNameError
from tests.fuelsystem.cars import SETTINGS, broken_cars

FLOWS = ("pump flow", "return flow", "injector flow total", "volume caught")
BASE = {"pump": "on", "engine": "off", "hose": "off"}
ids = [" ".join(str(v) for v in s.values()) for s in SETTINGS]


def rail(car, at=None, **more):
    """True rail pressure in psi."""
    return solve(car, {**BASE, **(at or {}), **more}, ("true rail pressure",))["true rail pressure"] / PSI


@pytest.mark.parametrize("at", SETTINGS, ids=ids)
def test_every_reading_is_a_number_and_no_flow_runs_backwards(at):
    """4096 cars with up to three faults each give finite values and flows of zero or more."""
    values = solve(broken_cars(4096, seed=11, faults=3), at, QUANTITIES)
    for name, value in values.items():
        assert value.shape == (4096,)
        assert np.isfinite(value).all(), name
    for name in FLOWS:
        assert (values[name] >= 0.0).all(), name
    assert (values["true rail pressure"] >= 0.0).all()
    assert (values["seat drop"] >= 0.0).all()


@pytest.mark.parametrize("at", SETTINGS, ids=ids)
@pytest.mark.filterwarnings("error")
def test_parameters_at_their_limits_never_break_the_arithmetic(at):
    """With every parameter at random at a limit, typical or between, all is finite and no warning is raised."""
    stream = np.random.default_rng(17)
    cars = {}
    for name, about in PARAMETERS.items():
        column = np.full(2048, about.typical)
        kind = stream.random(2048)
        column[kind < 0.12] = about.low
        column[(kind > 0.12) & (kind < 0.24)] = about.high
        between = kind > 0.6
        column[between] = about.low + (about.high - about.low) * stream.random(int(between.sum())) ** 3
        cars[name] = column
    values = solve(cars, at, QUANTITIES)
    assert all(np.isfinite(v).all() for v in values.values())
    assert all((values[name] >= 0.0).all() for name in FLOWS)


@pytest.mark.parametrize("at", SETTINGS[:13], ids=ids[:13])
def test_what_the_pump_gives_is_what_goes_somewhere(at):
    """Mass balance to 1e-6 of the flow: pump = injectors + leaks + return + what goes back inside the tank."""
    from diag.fuelsystem.balance import balance
    from diag.fuelsystem.circuit import build
    from diag.fuelsystem.points import condition

    cars = complete(broken_cars(2048, seed=3, faults=2))
    s = balance(build(cars, condition(at)).coefficients)
    spent = s.injector_flow + s.leak_flow + s.return_flow + s.hose_flow + s.second_flow
    assert np.abs(s.pump_flow - spent) == pytest.approx(0.0, abs=1e-12)
    scale = np.maximum(s.pump_flow, 1e-9)
    assert (np.abs(s.pump_flow - spent) / scale).max() < 1e-6


def test_the_valve_obeys_its_law_at_the_solution():
    """Return flow equals what the valve's area lets through at the pressures found, to 1e-6 of the pump flow."""
    cars = complete(broken_cars(2048, seed=4, faults=1))
    keep = (cars["dead end"] < 0.5) & (cars["pump supply"] > 0.5)
    cars = {n: v[keep] if v.ndim else v for n, v in cars.items()}
    r = solve(cars, BASE, ("return flow", "seat drop", "valve lift", "pump flow"))
    c = cars["valve discharge"] * np.pi * cars["seat diameter"] * np.sqrt(2.0 / cars["fuel density"])
    leak = 0.61 * cars["seat leak"] * np.sqrt(2.0 / cars["fuel density"])
    through = (c * r["valve lift"] + leak) * np.sqrt(r["seat drop"])
    flowing = r["return flow"] > 1e-3 * r["pump flow"]
    assert flowing.sum() > 1000
    assert through[flowing] == pytest.approx(r["return flow"][flowing], rel=1e-6)


def _choked(flow, bore, seat, choke, target):
    """One car whose return is choked in twelve steps to two fifths of a bore."""
    car = {
        "pump rated flow": flow * LITRE_PER_HOUR, "return bore": bore, "seat diameter": seat, "set pressure": target,
        "target pressure": target, "valve lift limit": 0.2 * seat, "pump relief pressure": 1e6,
    }  # fmt: skip
    holes = choke * np.linspace(1.0, 0.4, 13)
    wanted = ("true rail pressure", "valve lift", "return flow", "regulator outlet pressure")
    return solve(car | {"return restriction hole": holes}, BASE, wanted)


@settings(max_examples=50, deadline=None)
@given(
    flow=st.floats(200, 600), bore=st.floats(3e-3, 14e-3), choke=st.floats(1e-3, 6e-3), target=st.floats(2.5e5, 3.5e5)
)
def test_a_tighter_return_never_lowers_the_rail_by_more_than_0_3_psi(flow, bore, choke, target):
    """On a 5 mm seat under 32 mm at 2.5 to 3.5 bar and 200 L/h or more; once the lift is spent it only raises it.

    Smaller flows and larger seats may fall further, by the seat area's share: the next test.
    """
    got = _choked(flow, bore, 5e-3, choke, target)
    pressure = got["true rail pressure"] / PSI
    assert (np.maximum.accumulate(pressure) - pressure).max() < 0.3
    spent = (got["valve lift"][:-1] > 0.999e-3) & (got["return flow"][1:] > 1e-7)
    assert (np.diff(pressure)[spent] >= -1e-6).all()


@settings(max_examples=50, deadline=None)
@given(
    flow=st.floats(40, 600), bore=st.floats(3e-3, 14e-3), seat=st.floats(3e-3, 9e-3), choke=st.floats(1e-3, 6e-3),
    target=st.floats(2e5, 5e5),
)  # fmt: skip
def test_back_pressure_lowers_the_rail_by_the_seat_area_at_most(flow, bore, seat, choke, target):
    """For any seat: the fall is no more than the rise of back-pressure times seat area over ring area."""
    got = _choked(flow, bore, seat, choke, target)
    whole, hole = 0.032**2, seat**2
    back, pressure = got["regulator outlet pressure"], got["true rail pressure"]
    fall = np.maximum.accumulate(pressure) - pressure
    rise = back - np.minimum.accumulate(back)
    assert (fall <= rise * hole / (whole - hole) + 20.0).all()


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_more_vacuum_never_raises_the_rail(seed):
    """Over a vacuum sweep by hand no car's pressure rises, whatever is broken."""
    cars = {n: v[:, None] for n, v in broken_cars(64, seed, faults=2).items()}
    sweep = [rail(cars, hose="hand", reference=-v * INHG)[:, 0] for v in (1, 5, 10, 15, 20, 24)]
    assert (np.diff(np.array(sweep), axis=0) <= 1e-3).all()


@pytest.mark.parametrize(
    ("parameter", "values", "at"),
    [
        ("pump flow factor", (0.05, 0.2, 0.4, 0.7, 1.0), {}),
        ("contact resistance", (2.0, 1.0, 0.3, 0.1, 0.0), {}),
        ("feed joint resistance", (2.0, 1.0, 0.3, 0.1, 0.0), {}),
        ("in-tank hose leak", (1e-5, 3e-6, 1e-6, 1e-7, 0.0), {}),
        ("set pressure", (1e5, 2e5, 3e5, 4e5, 5e5), {}),
        ("filter restriction", (400.0, 100.0, 30.0, 5.0, 1.0), {"engine": "full load"}),
        ("second regulator pressure", (1e5, 2e5, 2.5e5, 3e5, 1e8), {}),
        ("outside leak", (1e-5, 3e-6, 1e-6, 1e-7, 0.0), {}),
    ],
)
def test_direction_of_each_effect(parameter, values, at):
    """The listed values of one parameter, worst first, make the rail pressure rise or stay."""
    got = rail({parameter: np.array(values)}, at)
    assert (np.diff(got) > -0.05).all()
    assert got[-1] > got[0] + 3.0


def test_set_pressure_is_the_rail_at_small_flow():
    """With hardly any flow and the reference open the rail reads the set pressure."""
    car = {"set pressure": 43.5 * PSI, "pump rated flow": 10 * LITRE_PER_HOUR, "diaphragm friction": 0.0}
    assert float(rail(car)) == pytest.approx(43.5, abs=0.15)


def test_reference_moves_the_rail_one_to_one():
    """Slope of a sound regulator between 20 inHg and 10 psi lies between 0.97 and 1.05 (accepted as 1:1)."""
    span = 20 * INHG + 10 * PSI
    high = rail({}, hose="hand", reference=10 * PSI) * PSI
    low = rail({}, hose="hand", reference=-20 * INHG) * PSI
    assert 0.97 <= float(high - low) / span <= 1.05


def test_return_flow_falls_by_what_the_injectors_take():
    """At idle the return carries the pump's flow less the idle demand."""
    r = solve({}, {"engine": "idle", "hose": "off"}, ("pump flow", "return flow", "injector flow total"))
    assert float(r["pump flow"] - r["return flow"]) == pytest.approx(float(r["injector flow total"]), rel=1e-3)


def test_injector_flow_follows_the_square_root():
    """Starved of pressure, the engine gets the square root of the pressure across its injectors."""
    car = {"pump flow factor": np.array([0.05, 0.1, 0.2, 1.0])}
    r = solve(car, {"engine": "full load"}, ("injector flow total", "injector pressure difference"))
    law = r["injector flow total"] / np.sqrt(r["injector pressure difference"])
    assert law[r["injector pressure difference"] > 1.0] == pytest.approx(law[-1], rel=1e-6)


@pytest.mark.parametrize(
    ("fault", "what"),
    [
        ({"valve lift limit": 0.0}, "high"),
        ({"dead end": 1.0}, "target"),
        ({"ports swapped": 1.0}, "high"),
        ({"valve lift floor": 1e-3}, "low"),
        ({"pump supply": 0.0}, "zero"),
        ({"pump direction": 0.02}, "low"),
        ({"second regulator pressure": 2e5}, "low"),
    ],
)
def test_signature_of_gross_faults(fault, what):
    """Stuck shut and swapped ports give the pump's maximum, stuck open and a backward pump little, no current none."""
    got = float(rail(fault))
    low, high = {"high": (90, 115), "target": (42, 46), "low": (0, 33), "zero": (0, 0)}[what]
    assert low <= got <= high


def test_a_pinched_return_shows_the_pump_not_the_regulator():
    """Pinched, a sound car reaches its relief pressure and one with a split in-tank hose does not."""
    got = rail({"in-tank hose leak": np.array([0.0, 3e-6])}, {"return": "pinched"})
    assert got[0] > 100
    assert got[1] < 70


def test_blocked_vent_fades_while_running_and_the_cap_cures_it():
    """With hot fuel and a half-clogged strainer a blocked vent starves the pump; loosening the cap helps at once."""
    car = {"tank vent restriction": 1.0, "fuel temperature": 312.0, "tank level": 0.9, "pump inlet restriction": 0.5}
    at = {"engine": "full load", "hose": "off"}
    flow = [float(solve(car, {**at, **m}, ("pump flow",))["pump flow"]) for m in ({}, {"tank cap": "open"})]
    pressure = float(solve(car, at, ("tank pressure",))["tank pressure"])
    assert pressure < -1e4
    assert flow[1] > 1.2 * flow[0]


def test_shapes_broadcast():
    """Hypotheses by draws in, the same shape out; plain numbers give plain numbers."""
    got = rail({"set pressure": np.full((3, 1), 3e5), "pump flow factor": np.ones(5)})
    assert got.shape == (3, 5)
    assert rail({}).shape == ()


def test_values_out_of_range_and_nan_are_mended():
    """NaN becomes typical, absurd values are brought to the parameter's limit."""
    assert complete({"set pressure": np.nan})["set pressure"] == PARAMETERS["set pressure"].typical
    assert complete({"return bore": -1.0})["return bore"] == PARAMETERS["return bore"].low


def test_unknown_names_are_refused_with_the_nearest():
    """A wrong parameter, quantity, setting or word is one clear sentence."""
    with pytest.raises(UnknownNameError, match="set pressure"):
        solve({"set presure": 3e5}, BASE, ("rail pressure",))
    with pytest.raises(UnknownNameError, match="rail pressure"):
        solve({}, BASE, ("rail presure",))
    with pytest.raises(UnknownNameError, match="no setting"):
        solve({}, {"wind": "north"}, ("rail pressure",))
    with pytest.raises(UnknownNameError, match="full load"):
        solve({}, {"engine": "full lod"}, ("rail pressure",))
    with pytest.raises(QuantityError, match="cannot be"):
        solve({}, {"hose": "hand", "reference": -2e5}, ("rail pressure",))


SWITCHES = {"gauge stuck", "gauge sees pump side", "gauge in return", "dead end", "ports swapped", "pump runs on",
            "pump stuck"}  # fmt: skip
MOVED = {
    **dict.fromkeys(SWITCHES, 1.0),
    **dict.fromkeys(("pump supply", "cranking supply", "key-on supply", "running supply", "hot supply"), 0.0),
    "feed restriction hole": 1.5e-3, "return restriction hole": 1.5e-3, "seconds of full load": 1.0,
    "second regulator pressure": 2e5, "trapped air": 5e-5,
}  # fmt: skip
"""A value that must show, where half way to the limit does not."""

PARTNERS: dict[str, dict[str, float]] = {
    "second pump part": {"second pump staged": 1.0},
    "second pump share": {"second pump part": 0.5}, "second pump staged": {"second pump part": 0.5},
    "friction side": {"diaphragm friction": 2e4}, "pump inlet restriction": {"fuel temperature": 318.0},
    "tank volume": {"tank vent restriction": 1.0},
    "fuel vapour pressure": {"pump inlet restriction": 0.9}, "fuel temperature": {"pump inlet restriction": 0.9},
    "atmosphere": {"pump inlet restriction": 0.9}, "tank level": {"pump inlet restriction": 0.9},
    "injector flow": {"full load demand": 1e-4}, "injector count": {"full load demand": 1e-4},
    "reference boost share": {"boost pressure": 1e5}, "boost gain": {"boost pressure": 1e5},
    "diaphragm lag": {"boost pressure": 1e5}, "reference lag": {"boost pressure": 1e5},
    "trim authority": {"fuelling": 1.2}, "hot rail temperature": {"pump check valve leak": 1e-8},
    "far injectors": {"fuelling": 0.7},
}  # fmt: skip
"""What must be so for a parameter to matter."""


def test_every_parameter_moves_some_reading():
    """No parameter is idle: a change from typical moves at least one quantity at one condition."""
    at = (
        *SETTINGS,
        {"engine": "full load", "hose": "on"},
        {"heat": "hot", "hose": "off"},
        {"pump": "off", "minutes": 5.0},
        {"engine": "snap"},
        {"engine": "cranking", "heat": "hot", "minutes": 20.0},
        {"screw": "turned out"},
    )
    names = ("rail pressure", "sensor pressure", "pump flow", "pump amps", "tank pressure", "pump volts", *RUNNING)
    for name, about in PARAMETERS.items():
        with_ = PARTNERS.get(name, {})
        middle = 0.5 * (about.low + about.typical) if about.typical > about.low else 0.5 * (about.high + about.low)
        moved = {**with_, name: MOVED.get(name, middle)}
        changed = any(
            not np.isclose(solve(moved, s, QUANTITIES)[q], solve(with_, s, QUANTITIES)[q], rtol=1e-9)
            for s in at
            for q in names
        )
        assert changed, name


def test_registry_is_sound():
    """Every parameter has a known unit family, a typical value inside its limits, and words with a source."""
    for name, about in PARAMETERS.items():
        assert about.name == name
        assert about.unit_kind in KINDS, name
        assert about.low <= about.typical <= about.high, name
        assert about.what
        assert about.source


@pytest.mark.parametrize("where", [{"hose": "off"}, {"hose": "off", "screw": "in"}, {"engine": "full load"}])
def test_a_car_reads_the_same_in_any_company(where: dict[str, str | float]) -> None:
    """Solved loosely among others or alone: the same to the last bit, or a job would depend on earlier questions."""
    parameters = draw(car_from_texts({"target-pressure": "43.5 psi"}), 256)
    parameters["feed restriction hole"] = np.where(np.arange(256) < 140, 0.8e-3, 0.05)
    together = solve(parameters, where, ["rail pressure"], within=20.0)["rail pressure"]
    apart = {name: values[100:140] for name, values in parameters.items()}
    assert np.array_equal(together[100:140], solve(apart, where, ["rail pressure"], within=20.0)["rail pressure"])


@pytest.mark.parametrize("where", [{"hose": "off"}, {"hose": "off", "screw": "in"}, {"return": "pinched"}])
def test_a_loose_solution_is_close(where: dict[str, str | float]) -> None:
    """Within 0.1 psi of the exact one, also where the pump is shut off by its own relief valve."""
    parameters = draw(car_from_texts({"target-pressure": "43.5 psi"}), 1024)
    loose, exact = (solve(parameters, where, ["rail pressure"], within)["rail pressure"] for within in (20.0, 1e-5))
    assert np.abs(loose - exact).max() < 0.1 * PSI


def test_a_speed_controller_keeps_volts_on_the_way_to_the_pump() -> None:
    """What is lost on both sides and what the pump has make up the battery (Kirchhoff's voltage law)."""
    for duty in (1.0, 0.5):
        parameters = {"pump duty": duty}
        names = ["battery volts", "pump volts", "feed volt drop", "ground volt drop"]
        shown = {n: float(v) for n, v in solve(parameters, {"pump": "on"}, names).items()}
        lost = shown["feed volt drop"] + shown["ground volt drop"] + shown["pump volts"]
        assert lost == pytest.approx(shown["battery volts"])
        assert (shown["feed volt drop"] > 0.4 * shown["battery volts"]) is (duty < 1.0)


def test_a_blocked_gauge_line_holds_the_needle_where_it_was() -> None:
    """Whatever the rail does, and down at its stop where nothing was shut in."""
    for held, expected in ((2.6e5, 2.6e5), (-1e5, 0.0)):
        stuck = {"gauge stuck": 1.0, "gauge stuck at": held}
        for where in ({"pump": "on", "hose": "off"}, {"pump": "on", "engine": "idle"}):
            assert float(solve(stuck, where, ["rail pressure"])["rail pressure"]) == pytest.approx(expected)
