"""Published Bayesian networks as tiny rule books in YAML, loaded, weighed and predicted by the engine itself.

Behind each figure stands where it is from: [printed] in the source, [computed] from the source's tables with a
general-purpose library or by enumeration outside this program, [memory] not read again.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.reference.tiny import ALWAYS, FEVER, NEVER, Example, Seen, hiding_links, net

SIX = 6e-7  # six decimals are given

# ------------------------------------------------------------------ noisy-OR


def test_fever_table(tmp_path: Path) -> None:
    """Russell and Norvig, noisy-OR table of fever [memory, computed]: inhibitions cold .6, flu .2, malaria .1."""
    links = {"cold": 0.4, "flu": 0.8, "malaria": 0.9}
    shows = {c: {"fever": q} for c, q in links.items()}
    start = Example(dict.fromkeys(links, 0.3), shows=shows, signs={"fever": NEVER}).write(tmp_path).told()
    for causes, p in {(): 0.0, **FEVER}.items():
        assert start.given("fever", *causes) == pytest.approx(p, abs=1e-10)


def test_leak_conventions(tmp_path: Path) -> None:
    """Leak .1, links .3 and .7: .811 if the links are net, .766667 if they hold with the leak [computed, library]."""
    shows = {"a": {"net": 0.3, "compound": net(0.3, 0.1)}, "b": {"net": 0.7, "compound": net(0.7, 0.1)}}
    start = Example({"a": 0.3, "b": 0.3}, shows=shows, signs={"net": 0.1, "compound": 0.1}).write(tmp_path).told()
    assert start.given("net", "a", "b") == pytest.approx(0.811, abs=1e-10)
    assert start.given("compound", "a", "b") == pytest.approx(0.766667, abs=SIX)


COLD = Example(
    {"cold": 0.1, "flu": 0.05, "covid": 0.01},
    shows={
        "cold": {"cough": 0.3, "sneeze": 0.5},
        "flu": {"cough": 0.2, "fever": 0.6, "sneeze": 0.2},
        "covid": {"cough": 0.7, "fever": 0.7},
    },
    signs={"cough": 0.1, "fever": 0.01, "sneeze": 0.05},
)


@pytest.mark.parametrize(
    ("answers", "probability", "cold", "flu", "covid"),
    [
        ("", 1.0, 0.1, 0.05, 0.01),
        ("cough+", 0.14177989, 0.26849076, 0.10808613, 0.05224429),
        ("fever+", 0.0464221, 0.1, 0.65353786, 0.15335584),
        ("cough+ fever+", 0.01548935814, 0.15558749, 0.60464237, 0.34072983),
        ("cough+ fever+ sneeze+", 0.003554211326, 0.39661572, 0.79495952, 0.16924778),
        ("cough+ fever+ sneeze-", 0.01193514681, 0.0838108, 0.54796713, 0.3917961),
        ("cough+ fever- sneeze+", 0.02429078122, 0.77447404, 0.07416454, 0.00930409),
        ("cough+ fever- sneeze-", 0.1019997506, 0.16513825, 0.04075895, 0.01866181),
        ("cough- fever- sneeze-", 0.7550554214, 0.03743316, 0.01329456, 0.00090827),
    ],
)
def test_cold_flu_covid(
    tmp_path: Path, answers: str, probability: float, cold: float, flu: float, covid: float
) -> None:
    """Poole and Mackworth, AIPython 0.9.5: parameters [printed], posteriors [computed] with pyAgrum, to 1e-8."""
    seen = COLD.write(tmp_path).told(*answers.split())
    assert seen.probability == pytest.approx(probability, abs=1e-8)
    assert [seen.chance(c) for c in COLD.chances] == pytest.approx([cold, flu, covid], abs=1e-8)


@pytest.mark.parametrize(
    ("answers", "bits", "gains"),
    [
        ("", 0.836186, {"fever": 0.138469, "sneeze": 0.109079, "cough": 0.051201}),
        ("cough+", 1.615789, {"fever": 0.282726, "sneeze": 0.191843}),
        ("cough+ fever+", 2.000816, {"sneeze": 0.126247}),
    ],
)
def test_cold_flu_covid_next_question(tmp_path: Path, answers: str, bits: float, gains: dict[str, float]) -> None:
    """The same network: entropy of the three causes, and what each finding would tell about them [computed]."""
    seen = COLD.write(tmp_path).told(*answers.split())
    assert seen.bits == pytest.approx(bits, abs=SIX)
    assert {s: seen.gain(s) for s in gains} == pytest.approx(gains, abs=SIX)


# ------------------------------------------------------------------ car start

FULL, HALF, EMPTY = "full", "half", "empty"
CAR = Example(
    {"no-fuel": 0.02, "dirty-plugs": 0.04},
    shows={
        "no-fuel": {"no-start": ALWAYS, "tank-dry": ALWAYS},
        "dirty-plugs": {"no-start": net(0.99, 0.01), "plugs-black": ALWAYS},
    },
    answers={"no-fuel": {"meter": {FULL: 0.001, HALF: 0.001, EMPTY: 0.998}}},
    signs={"no-start": 0.01, "tank-dry": NEVER, "plugs-black": NEVER},
    choices={"meter": {FULL: 0.39, HALF: 0.60, EMPTY: 0.01}},
    checks={"look-at-plugs": (10.0, "plugs-black"), "look-in-tank": (5.0, "tank-dry"), "read-meter": (1.0, "meter")},
)


@pytest.mark.parametrize(
    ("meter", "no_fuel", "dirty_plugs", "tolerance"),
    [
        ("", 0.29, 0.58, 5e-3),  # [printed] to two digits
        ("half", 0.001, 0.804, 5e-4),  # [printed] to three digits
        ("", 0.29318635, 0.58062625, 1e-8),  # [computed] from here on
        ("half", 0.00069086, 0.80434963, 1e-8),
        ("full", 0.00106246, 0.8040654, 1e-8),
        ("empty", 0.97641345, 0.05804083, 1e-8),
    ],
)
def test_car_start(tmp_path: Path, meter: str, no_fuel: float, dirty_plugs: float, tolerance: float) -> None:
    """Jensen and Nielsen 2007, p. 35, tables [printed]: it does not start, and the fuel meter."""
    seen = CAR.write(tmp_path).told("no-start+", *([f"meter={meter}"] if meter else []))
    assert seen.chance("no-fuel") == pytest.approx(no_fuel, abs=tolerance)
    assert seen.chance("dirty-plugs") == pytest.approx(dirty_plugs, abs=tolerance)


def test_car_start_predictions(tmp_path: Path) -> None:
    """The same: P(no start), and the meter before and after it is known not to start [computed]."""
    job = CAR.write(tmp_path)
    start, stuck = job.told(), job.told("no-start+")
    assert stuck.probability == pytest.approx(0.068216, abs=1e-9)
    for seen, expected in (
        (start, [0.38222, 0.58802, 0.02976]),
        (stuck, [0.27595051, 0.42438138, 0.29966811]),
    ):
        assert [seen.predicted("meter", a) for a in (FULL, HALF, EMPTY)] == pytest.approx(expected, abs=1e-8)


def test_car_start_joint(tmp_path: Path) -> None:
    """The same: P(fuel, plugs, meter, no start), [computed]; .01514 and .0233 of it [printed]."""
    job = CAR.write(tmp_path)
    expected = {
        ("no-fuel", "dirty-plugs"): (8e-7, 8e-7, 0.0007984),
        ("no-fuel",): (0.0000192, 0.0000192, 0.0191616),
        ("dirty-plugs",): (0.01513512, 0.0232848, 0.00038808),
        (): (0.00366912, 0.0056448, 0.00009408),
    }
    for at, meter in enumerate((FULL, HALF, EMPTY)):
        seen = job.told("no-start+", f"meter={meter}")
        for causes, row in expected.items():
            assert seen.probability * seen.exactly(*causes) == pytest.approx(row[at], abs=5e-9)


def test_car_start_next_step(tmp_path: Path) -> None:
    """The same: 1.447135 bits; plugs .981161, tank .872802, meter .817696 [computed]; at 10, 5 and 1 read the meter."""
    seen = CAR.write(tmp_path).told("no-start+")
    assert seen.bits == pytest.approx(1.447135, abs=SIX)
    gains = [seen.gain(s) for s in ("plugs-black", "tank-dry", "meter")]
    assert gains == pytest.approx([0.981161, 0.872802, 0.817696], abs=SIX)
    proposal = seen.proposal()
    assert (proposal.kind, proposal.step) == ("check", "read-meter")


# ------------------------------------------------------------------ chest clinic

SMOKER = {True: (0.10, 0.60), False: (0.01, 0.30)}  # P(lung | smoker), P(bronchitis | smoker)
ASIA = {
    True: 0.05,
    None: 0.01 * 0.05 + 0.99 * 0.01,
}  # P(tuberculosis | visit); not said: averaged over the 1 % who went


def chest_clinic(asia: bool | None, smoker: bool) -> Example:
    """Tuberculosis, lung cancer and bronchitis of a smoker or a non-smoker.

    "Tuberculosis or cancer" is a state that either shows for certain. Dyspnoea, .1, .7 (that state), .8 (bronchitis),
    .9 (both), is no noisy-OR, which would give .9333 for both; bronchitis therefore has a link of its own, and a
    second one through the state "bronchitis alone", which tuberculosis and cancer hide.
    """
    lung, bronchitis = SMOKER[smoker]
    own = net(0.9, net(0.7, 0.0))  # with the state: 1 - .3 (1 - own) = .9
    return Example(
        {"tub": ASIA[asia], "lung": lung, "bronc": bronchitis},
        shows={
            "tub": {"either": ALWAYS},
            "lung": {"either": ALWAYS},
            "bronc": {"dyspnoea": own, "bronchitis-alone": ALWAYS},
        },
        hides={"tub": {"bronchitis-alone": ALWAYS}, "lung": {"bronchitis-alone": ALWAYS}},
        signs={"film": 0.05, "dyspnoea": 0.1},
        states={
            "either": (NEVER, {"film": net(0.98, 0.05), "dyspnoea": net(0.7, 0.1)}),
            "bronchitis-alone": (NEVER, {"dyspnoea": net(0.8, 1 - 0.9 * (1 - own))}),
        },
    )


class Clinic:
    """The chest clinic after some answers.

    Visit and smoking cannot be contexts of one book: a context moves odds between causes while the chance that nothing
    is wrong stays the book's, and one that nobody answered changes nothing instead of being averaged. So the engine
    weighs a book for smokers and one for others, each exactly, and where smoking, which ties two causes, is not known
    the two are added here in proportion to P(smoker) times the engine's own P(answers | smoker): .5 each before.
    """

    def __init__(self, folder: Path, asia: bool | None, smoker: bool | None, answers: Sequence[str]) -> None:
        self.parts: list[tuple[float, Seen]] = []
        for kind in (True, False) if smoker is None else (smoker,):
            place = folder / f"smoker-{kind}"
            place.mkdir()
            seen = chest_clinic(asia, kind).write(place).told(*answers)
            self.parts.append((0.5 * seen.probability, seen))
        self.probability = sum(w for w, _ in self.parts) * (1.0 if smoker is None else 2.0)

    def chance(self, *causes: str) -> float:
        """P(any of these | answers)."""
        return sum(w * s.chance(*causes) for w, s in self.parts) / sum(w for w, _ in self.parts)

    def predicted(self, sign: str) -> float:
        """P(sign | answers)."""
        return sum(w * s.predicted(sign) for w, s in self.parts) / sum(w for w, _ in self.parts)


@pytest.mark.parametrize(
    ("asia", "smoker", "answers", "tub", "lung", "bronc", "either", "film", "dyspnoea"),
    [
        (None, None, "", 0.0104, 0.055, 0.45, 0.064828, 0.110290, 0.435971),  # the last two [printed] in a library
        (None, None, "dyspnoea+", 0.018845, 0.102759, 0.833967, 0.120536, 0.162098, None),  # [computed] from here on
        (True, None, "dyspnoea+", 0.087751, 0.099525, 0.811402, 0.182300, 0.219539, None),
        (True, True, "dyspnoea+", 0.072760, 0.145519, 0.867258, 0.211003, 0.246232, None),
        (True, False, "dyspnoea+", 0.112835, 0.022567, 0.717942, 0.134274, 0.174874, None),
        (True, None, "dyspnoea+ film+", 0.391712, 0.444271, 0.628822, 0.813769, None, None),
        (True, None, "dyspnoea+ film-", 0.002249, 0.002550, 0.862761, 0.004672, None, None),
        (True, True, "dyspnoea+ film+", 0.289581, 0.579163, 0.700920, 0.839786, None, None),
        (None, None, "film+", 0.092411, 0.488711, 0.506326, 0.576040, None, 0.640766),
        (None, True, "film+", 0.067183, 0.645991, 0.6, 0.706456, None, 0.731937),
        (None, None, "film+ dyspnoea+", 0.113933, 0.621253, 0.681869, 0.728725, None, None),
    ],
)
def test_chest_clinic(
    tmp_path: Path,
    asia: bool | None,
    smoker: bool | None,
    answers: str,
    tub: float,
    lung: float,
    bronc: float,
    either: float,
    film: float | None,
    dyspnoea: float | None,
) -> None:
    """Lauritzen and Spiegelhalter 1988, tables [memory]; every posterior and prediction to six decimals."""
    clinic = Clinic(tmp_path, asia, smoker, answers.split())
    assert [clinic.chance(c) for c in ("tub", "lung", "bronc")] == pytest.approx([tub, lung, bronc], abs=SIX)
    assert clinic.chance("tub", "lung") == pytest.approx(either, abs=SIX)
    for sign, expected in (("film", film), ("dyspnoea", dyspnoea)):
        if expected is not None:
            assert clinic.predicted(sign) == pytest.approx(expected, abs=SIX)


@pytest.mark.parametrize(
    ("asia", "answers", "probability"),
    [(None, "dyspnoea+", 0.4359706), (None, "film+", 0.11029004), (True, "dyspnoea+", 0.004501375 / 0.01)],
)
def test_chest_clinic_chance_of_the_answers(
    tmp_path: Path, asia: bool | None, answers: str, probability: float
) -> None:
    """The same: P(answers) [computed]; with the visit to Asia divided by its chance of .01."""
    assert Clinic(tmp_path, asia, None, answers.split()).probability == pytest.approx(probability, abs=6e-8)


# ------------------------------------------------------------------ fire alarm

REPORT_ON = 0.88 * 0.75 + 0.12 * 0.01  # P(report | alarm): people leave or not, and that is reported
REPORT_OFF = 0.001 * 0.75 + 0.999 * 0.01
ALARM = {"neither": 0.0001, "tamper": 0.85, "fire": 0.99, "both": 0.5}
FIRE_ROWS = [
    ("report+", 0.02812616, 0.399169, 0.230505),
    ("smoke+", 0.0189, 0.02, 0.476190),
    ("report+ smoke+", 0.0189 * 0.320176, 0.028436, 0.964234),
    ("report+ smoke-", 0.02812616 * (1 - 0.215149), 0.500797, 0.029369),
    ("report-", 1 - 0.02812616, 0.009027, 0.003619),
]


def fire_alarm() -> Example:
    """Tampering and fire as causes, both at once as the engine's own pair.

    The alarm of a pair, .5, is below that of either alone, so no noisy-OR is the alarm; and a hidden state of a book
    cannot hang on another state. Nobody is asked about the alarm or the people leaving, so both are summed out into
    P(report | tampering, fire): tampering has its link, and what it and fire show alone the other hides.
    """
    p = {name: REPORT_OFF + (REPORT_ON - REPORT_OFF) * alarm for name, alarm in ALARM.items()}
    return Example(
        {"tamper": 0.02, "fire": 0.01},
        shows={
            "tamper": {"report": net(p["both"], p["neither"]), "tampering-alone": ALWAYS},
            "fire": {"smoke": net(0.9, 0.01), "fire-alone": ALWAYS},
        },
        hides={"tamper": {"fire-alone": ALWAYS}, "fire": {"tampering-alone": ALWAYS}},
        signs={"report": p["neither"], "smoke": 0.01},
        states={
            "tampering-alone": (NEVER, {"report": net(p["tamper"], p["both"])}),
            "fire-alone": (NEVER, {"report": net(p["fire"], p["neither"])}),
        },
    )


@pytest.mark.parametrize(("answers", "probability", "tamper", "fire"), FIRE_ROWS)
def test_fire_alarm(tmp_path: Path, answers: str, probability: float, tamper: float, fire: float) -> None:
    """Poole and Mackworth 2017, example 8.15: tables [printed], .399 [printed], other posteriors [memory, computed]."""
    seen = fire_alarm().write(tmp_path).told(*answers.split())
    assert seen.probability == pytest.approx(probability, abs=SIX)
    assert seen.chance("tamper") == pytest.approx(tamper, abs=SIX)
    assert seen.chance("fire") == pytest.approx(fire, abs=SIX)


def test_fire_alarm_predictions(tmp_path: Path) -> None:
    """The same: smoke after a report .215149, a report after smoke .320176 [computed]."""
    job = fire_alarm().write(tmp_path)
    assert job.told("report+").predicted("smoke") == pytest.approx(0.215149, abs=SIX)
    assert job.told("smoke+").predicted("report") == pytest.approx(0.320176, abs=SIX)


def alarm_as_state() -> Example:
    """The alarm itself as a hidden state. Its pair is then a hypothesis of its own beside the two single causes.

    The people leaving stay summed out, being a second hidden layer below the alarm, which a book does not have.
    """
    smoke = {"smoke": net(0.9, 0.01)}
    links = {name: {"alarm": net(p, ALARM["neither"])} for name, p in ALARM.items() if name != "neither"}
    return Example(
        {"tamper": 0.02 * 0.99, "fire": 0.98 * 0.01, "both": 0.02 * 0.01},
        exclusive=True,
        shows={"tamper": links["tamper"], "fire": links["fire"] | smoke, "both": links["both"] | smoke},
        signs={"report": REPORT_OFF, "smoke": 0.01, "bell-rings": NEVER},
        states={"alarm": (ALARM["neither"], {"report": net(REPORT_ON, REPORT_OFF), "bell-rings": ALWAYS})},
    )


@pytest.mark.parametrize(("answers", "probability", "tamper", "fire"), FIRE_ROWS)
def test_fire_alarm_as_state(tmp_path: Path, answers: str, probability: float, tamper: float, fire: float) -> None:
    """The same figures with the alarm as a hidden state, and the chance of the alarm where it is given [computed]."""
    seen = alarm_as_state().write(tmp_path).told(*answers.split())
    assert seen.probability == pytest.approx(probability, abs=SIX)
    assert seen.chance("tamper", "both") == pytest.approx(tamper, abs=SIX)
    assert seen.chance("fire", "both") == pytest.approx(fire, abs=SIX)
    alarm = {"report+ smoke+": 0.982413, "report+ smoke-": 0.531299}
    if answers in alarm:
        assert seen.predicted("bell-rings") == pytest.approx(alarm[answers], abs=SIX)


# ------------------------------------------------------------------ small exact ones


def test_burglary(tmp_path: Path) -> None:
    """Russell and Norvig, tables [printed]: both called, .284 [printed], .28417184, alarm .76069204 [computed].

    Alarm .95, .94, .29, .001 is no noisy-OR, which gives .957 for both: the earthquake also hides a little of it.
    """
    burglary, quake, hidden = hiding_links(0.001, 0.94, 0.29, 0.95)
    example = Example(
        {"burglary": 0.001, "quake": 0.002},
        shows={"burglary": {"alarm": burglary}, "quake": {"alarm": quake}},
        hides={"quake": {"alarm": hidden}},
        signs={"john-calls": 0.05, "mary-calls": 0.01, "bell-rings": NEVER},
        states={
            "alarm": (
                0.001,
                {"john-calls": net(0.9, 0.05), "mary-calls": net(0.7, 0.01), "bell-rings": ALWAYS},
            )
        },
    )
    job = example.write(tmp_path)
    seen = job.told("john-calls+", "mary-calls+")
    rings = [job.told().given("bell-rings", *c) for c in ((), ("quake",), ("burglary",), ("burglary", "quake"))]
    assert rings == pytest.approx([0.001, 0.29, 0.94, 0.95], abs=1e-10)
    assert seen.chance("burglary") == pytest.approx(0.284, abs=5e-4)
    assert seen.chance("burglary") == pytest.approx(0.28417184, abs=1e-8)
    assert seen.predicted("bell-rings") == pytest.approx(0.76069204, abs=1e-8)
    assert seen.probability == pytest.approx(0.0020841002, abs=1e-10)


def test_cough_and_lung_disease(tmp_path: Path) -> None:
    """A course exercise [printed]: P(lung disease | cough) .405 (.4047619), with fever .322 (.3218487)."""
    lung, cold, hidden = hiding_links(0.05, 0.75, 0.3, 0.8)
    example = Example(
        {"lung-disease": 0.1, "cold": 0.3},
        shows={"lung-disease": {"cough": lung}, "cold": {"cough": cold, "fever": net(0.65, 0.25)}},
        hides={"cold": {"cough": hidden}},
        signs={"cough": 0.05, "fever": 0.25},
    )
    job = example.write(tmp_path)
    for answers, printed, computed in ((["cough+"], 0.405, 0.4047619), (["cough+", "fever+"], 0.322, 0.3218487)):
        chance = job.told(*answers).chance("lung-disease")
        assert chance == pytest.approx(printed, abs=5e-4)
        assert chance == pytest.approx(computed, abs=6e-8)


def test_four_node_chain(tmp_path: Path) -> None:
    """AIPython's unit test [printed]: A .6; B|A .8/.1; C|B .7/.4; D|C .25/.9; P(B | D) = .429632380245.

    A is summed out into P(B) = .52, since nothing else hangs on it; C is a state; the sign is that D is missing.
    """
    example = Example(
        {"b": 0.6 * 0.8 + 0.4 * 0.1},
        shows={"b": {"c": net(0.7, 0.4)}},
        signs={"no-d": 0.1},
        states={"c": (0.4, {"no-d": net(0.75, 0.1)})},
    )
    seen = example.write(tmp_path).told("no-d-")
    assert seen.chance("b") == pytest.approx(0.429632380245, abs=1e-12)
    assert seen.probability == pytest.approx(0.5386, abs=1e-12)


@pytest.mark.parametrize(
    ("prior", "right", "wrong", "expected", "tolerance"),
    [
        (0.01, 0.792, 0.096, 0.07692, 6e-6),  # mammography, Eddy 1982 [memory, computed]
        (0.01, 0.80, 0.096, 0.07764, 6e-6),  # the same as usually retold [computed]
        (
            0.0001,
            0.8,
            (0.02 - 0.8 * 0.0001) / 0.9999,
            0.004,
            1e-12,
        ),  # flu among all with fever, .02 of people [printed]
        (0.05, 0.6, 0.1, 0.24, 1e-12),  # odds form: likelihood ratio 6 [computed]
    ],
)
def test_one_cause_one_sign(
    tmp_path: Path, prior: float, right: float, wrong: float, expected: float, tolerance: float
) -> None:
    """Bayes' rule for one test."""
    example = Example({"it": prior}, shows={"it": {"test": net(right, wrong)}}, signs={"test": wrong})
    assert example.write(tmp_path).told("test+").chance("it") == pytest.approx(expected, abs=tolerance)


def test_odds_form_twice(tmp_path: Path) -> None:
    """Prior .05, likelihood ratio 6, then .25: .073171 [computed]."""
    shows = {"it": {"first": net(0.6, 0.1), "second": net(0.85, 0.4)}}
    example = Example({"it": 0.05}, shows=shows, signs={"first": 0.1, "second": 0.4})
    assert example.write(tmp_path).told("first+", "second-").chance("it") == pytest.approx(0.073171, abs=SIX)
