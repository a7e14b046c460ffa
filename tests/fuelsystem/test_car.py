"""What can be told about a car: understood, refused in one sentence, or found to contradict itself."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.fuelsystem.car import Car, car_from_texts, hose_off_target, read_field
from diag.fuelsystem.constants import BAR, INHG, LITRE_PER_HOUR, PSI
from diag.fuelsystem.fields import FIELDS
from diag.quantities import KINDS
from diag.support.errors import QuantityError, UnknownNameError, UserError


def test_a_car_as_people_type_it():
    """Units as said become SI, words keep their spelling, blanks stay unknown."""
    car = car_from_texts(
        {"fuel": "e85", "target-pressure": "43.5", "return-bore": "6 mm", "pump-flow": "600 L/h", "boost": "",
         "wire": "16 AWG", "fuel-level": "half", "injector-flow": "440", "boosted": "yes", "altitude": "unknown"}
    )  # fmt: skip
    assert car.word("fuel") == "E85"
    assert car.number("target-pressure") == pytest.approx(43.5 * PSI)
    assert car.number("return-bore") == pytest.approx(6e-3)
    assert car.number("pump-flow") == pytest.approx(600 * LITRE_PER_HOUR)
    assert car.number("wire") == pytest.approx(1.309e-6, rel=1e-3)
    assert car.number("injector-flow") == pytest.approx(440e-6 / 60)
    assert car.word("boosted") == "yes"
    assert {"boost", "altitude"} <= set(car.unknown)


def test_the_pressure_unit_of_the_house_is_taken_for_bare_numbers():
    """A bare 3 means 3 bar where people speak bar."""
    assert car_from_texts({"target-pressure": "3"}, "bar").number("target-pressure") == pytest.approx(3 * BAR)


@pytest.mark.parametrize(
    ("field", "text"),
    [("return-bore", "0"), ("return-bore", "50 mm"), ("pump-flow", "-5"), ("target-pressure", "5 ft"),
     ("target-pressure", "900 psi"), ("pumps", "three"), ("injector-count", "4.5"), ("idle-vacuum", "40 inHg"),
     ("boost", "nan"), ("gauge-grade", "Z"), ("altitude", "1e9 m"), ("boosted", "perhaps")],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_one_line(field, text):
    """Zero, negative, absurd, wrong dimension and words for numbers give one line that names the field."""
    with pytest.raises(UserError) as caught:
        read_field(field, text, contexts=("boosted",))
    line = str(caught.value)
    assert "\n" not in line
    assert FIELDS[field].title in line if field in FIELDS else field in line


def test_unknown_field_names_the_nearest():
    """A misspelt field is refused with a suggestion; a known context is not."""
    with pytest.raises(UnknownNameError, match="return-bore"):
        read_field("return-bor", "6 mm")
    assert read_field("race-use", "no", contexts=("race-use",)) == "no"


@given(st.sampled_from(sorted(FIELDS)), st.text(max_size=30))
def test_any_text_is_a_value_unknown_or_one_clear_line(field, text):
    """No text for any field ends in a traceback."""
    try:
        value = read_field(field, text)
    except UserError:
        return
    assert value is None or isinstance(value, float | str)


@pytest.mark.parametrize(
    ("values", "word"),
    [
        ({"pump-pressure": 6 * BAR, "pump-relief": 5 * BAR}, "relief"),
        ({"regulator-low": 5 * BAR, "regulator-high": 3 * BAR}, "lowest"),
        ({"target-pressure": 6 * BAR, "regulator-high": 4 * BAR}, "above"),
        ({"target-pressure": 2 * BAR, "regulator-low": 3 * BAR}, "below"),
        ({"target-pressure": 4 * BAR, "boost": 2 * BAR, "pump-relief": 5.5 * BAR}, "stops rising"),
        ({"target-pressure": 6 * BAR, "pump-relief": 5 * BAR}, "cannot hold"),
        ({"seat-diameter": 12e-3, "diaphragm-diameter": 14e-3}, "no room"),
        ({"idle-vacuum": 24 * INHG, "altitude": 3000.0}, "inHg"),
        ({"target-pressure": 4 * BAR, "gauge-span": 2 * BAR}, "gauge"),
    ],
)
def test_contradictions_are_clear_sentences(values, word):
    """Each impossible pair of figures is said in one sentence."""
    said = Car(values).contradictions()
    assert len(said) == 1
    assert word in said[0]
    assert said[0].endswith(".")


def test_a_sound_car_has_no_contradictions():
    """The usual figures of a hobby car agree with each other."""
    car = Car({"target-pressure": 3 * BAR, "pump-pressure": 3 * BAR, "pump-relief": 7 * BAR, "regulator-low": 2 * BAR,
               "regulator-high": 5 * BAR, "boost": 1 * BAR, "seat-diameter": 5e-3})  # fmt: skip
    assert car.contradictions() == []


def test_a_target_stated_with_the_hose_on_is_raised_by_the_vacuum():
    """34.7 psi with the hose on at 18 inHg is 43.5 psi with it off (published conversion 8.84 psi)."""
    car = Car({"target-pressure": 34.67 * PSI, "target-hose": "on", "idle-vacuum": 18 * INHG})
    assert hose_off_target(car) / PSI == pytest.approx(43.5, abs=0.02)


def test_what_if_leaves_the_first_car_alone():
    """Changing one field gives a new car; None makes a field unknown."""
    car = Car({"boost": 1e5})
    assert car.changed("boost", None).number("boost") is None
    assert car.changed("fuel", "E85").values == {"boost": 1e5, "fuel": "E85"}
    assert car.values == {"boost": 1e5}


def test_every_field_explains_itself():
    """Each field has a question, words for people who never heard the term, and a known unit family or choices."""
    for field in FIELDS.values():
        assert field.ask.endswith("?")
        assert len(field.words) > 10
        assert field.choices if field.kind == "choice" else field.kind in KINDS and field.low < field.high


def test_a_limit_is_no_figure():
    """ "Over 100 psi" does not fill a field."""
    with pytest.raises(QuantityError):
        read_field("gauge-span", "over 100 psi")
