"""Readings as evidence: the physics decides between causes, and one bad reading does not sink the truth."""

from __future__ import annotations

import numpy as np
import pytest

from diag.inference.evidence import Epoch, Evidence, Finding, Reading
from diag.inference.explain import misfit
from diag.inference.posterior import NOTHING_WRONG, Belief, belief
from diag.inference.readings.damage import severity
from diag.rulebook.causes import Effect
from diag.support.errors import UnknownNameError
from tests.inference.books import told
from tests.inference.rig import PSI, psi, rig

RAIL = "rail pressure"
SMALL = {"return_bore": "6 mm", "pump_flow": "600 L/h", "seat_diameter": "4 mm", "target_pressure": "43.5 psi"}


def chances(result: Belief) -> dict[str, float]:
    return dict(result.ranked())


def test_a_hose_that_does_not_follow_is_found() -> None:
    """Right base pressure and no fall at idle with the hose on: the reference, not the regulator or the pump."""
    model = rig(target_pressure="43.5 psi", idle_vacuum="18 inHg")
    result = belief(model, Evidence(readings=(psi(RAIL, "base", 43.5), psi(RAIL, "idle-on", 43.2))))
    assert result.ranked()[0][0] == "hose-off"
    assert chances(result)["hose-off"] > 0.8


def test_healthy_readings_clear_the_physical_causes() -> None:
    """Right base and right fall at idle leave the causes that these readings would show."""
    model = rig(target_pressure="43.5 psi", idle_vacuum="18 inHg")
    prior = chances(belief(model, Evidence()))
    after = chances(belief(model, Evidence(readings=(psi(RAIL, "base", 43.5), psi(RAIL, "idle-on", 34.8)))))
    for cause in ("hose-off", "set-too-high", "return-blocked"):
        assert after[cause] < 0.35 * prior[cause]
    assert after[NOTHING_WRONG] > prior[NOTHING_WRONG]


def test_a_sizing_cause_is_a_condition_not_a_deviation() -> None:
    """On the car whose parts do not suit each other, sizing wins and nothing-wrong does not."""
    model = rig(**SMALL)
    evidence = Evidence(
        readings=(
            psi(RAIL, "base", 58.4),
            psi(RAIL, "screw-out", 58.4),
            psi("regulator outlet pressure", "base", 27.1),
            psi(RAIL, "return-opened", 47.4),
        )
    )
    result = chances(belief(model, evidence))
    assert result["return-too-small"] + result["seat-too-small"] > 0.9
    assert result[NOTHING_WRONG] < 0.01


def test_known_fields_move_sizing_odds_and_unknown_ones_do_not() -> None:
    """Sizing stands at its stated frequency with nothing known, rises for the unsuited car, falls for a roomy one."""
    unknown = chances(belief(rig(), Evidence()))["return-too-small"]
    unsuited = chances(belief(rig(**SMALL), Evidence()))["return-too-small"]
    roomy = chances(belief(rig(return_bore="12 mm", tank_entry_bore="12 mm", pump_flow="150 L/h"), Evidence()))
    assert unknown == pytest.approx(0.2, abs=0.06)
    assert unsuited > 0.45
    assert roomy["return-too-small"] < 0.1


def test_a_screw_turned_starts_an_epoch() -> None:
    """55 before and 43.6 after turning the screw is a wrong setting; without the action it is odd."""
    model = rig(target_pressure="43.5 psi", idle_vacuum="18 inHg")
    turned = (Epoch(), Epoch(redraws=frozenset({"set pressure"})))
    later = (psi(RAIL, "base", 55, 1), psi(RAIL, "base", 43.6, 2, 1), psi(RAIL, "idle-on", 34.8, 3, 1))
    same = tuple(psi(r.reading, r.point, r.value / PSI, r.entry) for r in later)
    two = belief(model, Evidence(readings=later, epochs=turned))
    one = belief(model, Evidence(readings=same))
    assert chances(two)["set-too-high"] > 0.8
    assert chances(one)["set-too-high"] < 0.3
    assert two.log_evidence > one.log_evidence + 2.0


def test_a_cured_damage_no_longer_acts() -> None:
    """Blocked return before, right pressure after the remedy: it was that, and it is gone."""
    model = rig(target_pressure="43.5 psi")
    cured = (Epoch(), Epoch(cured=frozenset({"return-blocked"}), botch=0.05))
    before = (psi(RAIL, "base", 75, 1), psi(RAIL, "screw-out", 75, 2))
    good = belief(model, Evidence(readings=(*before, psi(RAIL, "base", 43.5, 3, 1)), epochs=cured))
    bad = belief(model, Evidence(readings=(*before, psi(RAIL, "base", 75, 3, 1)), epochs=cured))
    at = model.index["return-blocked"]
    assert good.ever[at] > 0.8
    assert good.marginal[at] < 0.02
    assert good.nothing > 0.6
    assert bad.nothing < 0.2


def test_one_misread_does_not_sink_the_truth() -> None:
    """Three readings of a healthy car and one 12 psi off: nothing that only the odd one supports takes over."""
    model = rig(target_pressure="43.5 psi", idle_vacuum="18 inHg")
    good = (psi(RAIL, "base", 43.5, 1), psi(RAIL, "base", 43.7, 2), psi(RAIL, "idle-on", 34.7, 3))
    with_odd = Evidence(readings=(*good, psi(RAIL, "base", 55.5, 4)))
    clean, odd = belief(model, Evidence(readings=good)), belief(model, with_odd)
    assert odd.nothing > 0.3 * clean.nothing
    assert chances(odd)["set-too-high"] < 0.1
    worst = misfit(model, with_odd)
    assert worst.entry == 4
    assert worst.surprise > misfit(model, Evidence(readings=good)).surprise + 1.0


def test_physics_decides_a_sign_that_it_can_see() -> None:
    """Told that the pressure does not come down: return and seat rise, the blind cause does not."""
    model = rig(target_pressure="43.5 psi")
    before, after = (chances(belief(model, e)) for e in (Evidence(), Evidence((told("wont-come-down", "+", 0.02),))))
    assert after["return-blocked"] > 2.0 * before["return-blocked"]
    assert after["return-too-small"] > 2.0 * before["return-too-small"]
    assert after["plugs-fouled"] < before["plugs-fouled"]


def test_a_sign_and_a_reading_of_one_fact_count_inside_the_draw() -> None:
    """A reading that already shows the pressure stuck leaves little for the sign to say: average of products."""
    model = rig(target_pressure="43.5 psi")
    reading = (psi(RAIL, "screw-out", 60, 1),)
    sign: tuple[Finding, ...] = (told("wont-come-down", "+", 0.02, entry=2),)
    alone = belief(model, Evidence(sign)).log_evidence
    known = belief(model, Evidence((), reading)).log_evidence
    with_reading = belief(model, Evidence(sign, reading)).log_evidence - known
    assert alone < -0.9  # by itself the sign is news: chance below 0.41
    assert with_reading > -0.15  # after the reading it is what one expects: chance above 0.86


def test_intervals_and_limits_say_less_than_numbers() -> None:
    """A number, the interval around it, and "over": each weaker, all in the same direction."""
    model = rig(target_pressure="43.5 psi")
    low, high = 52 * PSI, 66 * PSI
    number = chances(belief(model, Evidence(readings=(psi(RAIL, "screw-out", 59),))))
    interval = Reading(RAIL, "screw-out", 59 * PSI, low, high)
    ranged = chances(belief(model, Evidence(readings=(interval,))))
    over = chances(belief(model, Evidence(readings=(Reading(RAIL, "screw-out", low, low, low, bound="above"),))))
    prior = chances(belief(model, Evidence()))
    for result in (number, ranged, over):
        assert result["return-blocked"] + result["return-too-small"] + result["seat-too-small"] > 0.6
    assert prior[NOTHING_WRONG] > over[NOTHING_WRONG]


def test_two_faults_together_are_found() -> None:
    """Stuck high with the screw out and no fall at idle: neither cause alone explains both."""
    model = rig(target_pressure="43.5 psi", idle_vacuum="18 inHg", pump_flow="250 L/h", return_bore="8 mm")
    read = (psi(RAIL, "base", 51, 1), psi(RAIL, "idle-on", 50.5, 2), psi(RAIL, "screw-out", 33, 3))
    result = belief(model, Evidence(readings=read))
    i, j = model.index["hose-off"], model.index["set-too-high"]
    both = result.weights[((result.rows == i).any(axis=1)) & ((result.rows == j).any(axis=1))].sum()
    assert both > 0.4


def test_belief_is_the_same_every_time() -> None:
    """A fresh model gives the same digits, and so does a model that has answered other questions before."""
    evidence = Evidence(readings=(psi(RAIL, "base", 51, 1), psi(RAIL, "idle-on", 50.5, 2)))
    first, second = rig(target_pressure="43.5 psi"), rig(target_pressure="43.5 psi")
    belief(second, Evidence(readings=(psi(RAIL, "screw-out", 70, 1),)))
    assert belief(first, evidence).ranked() == belief(second, evidence).ranked()


def test_unknown_point_and_reading_are_refused() -> None:
    """A point or reading that the book lacks is named."""
    model = rig()
    with pytest.raises(UnknownNameError, match="idle-onn"):
        belief(model, Evidence(readings=(psi(RAIL, "idle-onn", 40),)))
    with pytest.raises(UnknownNameError, match="rial"):
        belief(model, Evidence(readings=(psi("rial pressure", "base", 40),)))


def test_severity_is_stratified_and_stable() -> None:
    """One value per equal slice of the range, the same on every run, another for another cause."""
    effect = Effect("pump flow factor", "times", 0.3, 0.7)
    values = severity("pump-weak", effect, 64)
    slices = np.floor((np.sort(values) - 0.3) / 0.4 * 64).astype(int)
    assert slices.tolist() == list(range(64))
    assert values.tolist() == severity("pump-weak", effect, 64).tolist()
    assert not np.array_equal(values, severity("pump-tired", effect, 64))
    wide = severity("x", Effect("leak", "set", 1e-9, 1e-6), 64)
    assert np.median(wide) == pytest.approx(10**-7.5, rel=0.2)
