from __future__ import annotations

import contextlib
import math
import subprocess
import sys
import time

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diag.quantities import KINDS, from_unit, parse, show, to_unit, units_of
from diag.quantities.kinds import find_unit, kind_of
from diag.quantities.units import fold
from diag.support.errors import QuantityError, UnknownNameError
from tests import ROOT
from tests.support.fuzzing import examples

EVERY = [(kind, unit) for kind in KINDS for unit in units_of(kind)]
SAID = "about over under to - or and between pegged 1/2 3/8 40 1,000 -6 0 1e9 . , : / + ± % psi bar inHg vacuum abs"
SAID += " mm in ft"
SAID += " dash tube OD pint s min L/h gph V ohm C F hp AWG half a of 30 x ( ) ' \""
WORDS = st.sampled_from(SAID.split(" "))


@given(st.sampled_from(EVERY), st.floats(0.0, 1.0))
@examples(400)
def test_what_is_shown_can_be_typed(kind_unit: tuple[str, str], share: float) -> None:
    """Any believable value, shown with many figures and typed back, is the same value."""
    kind, unit = kind_unit
    known = kind_of(kind)
    value = known.low + share * (known.high - known.low)
    if kind == "count":
        value = float(round(value))
    text = show(value, kind, unit, figures=15)
    assume(len(text) < 60)
    if to_unit(value, kind, unit) != 0 and text.split(" ")[0] in ("0", "-0"):
        return  # below what twelve decimals show
    if kind == "pressure" and unit.endswith(("Hg", "H2O")):
        text = text.replace("-", "") + (" vacuum" if value < 0 else "")
    amount = parse(text, kind, unit)
    scale = abs(from_unit(1.0, kind, unit) - from_unit(0.0, kind, unit))
    assert amount.value == pytest.approx(value, rel=1e-9, abs=2e-12 * max(scale, 1.0) + 1e-9 * abs(value))


@given(st.sampled_from(EVERY), st.floats(-1e6, 1e6))
@examples(200)
def test_units_turn_back(kind_unit: tuple[str, str], number: float) -> None:
    """from_unit and to_unit undo each other."""
    kind, unit = kind_unit
    back = to_unit(from_unit(number, kind, unit), kind, unit)
    assert back == pytest.approx(number, rel=1e-9, abs=1e-6)


@given(st.lists(WORDS, max_size=7), st.sampled_from(sorted(KINDS)), st.booleans())
@examples(600)
def test_any_words_give_an_amount_or_one_line(words: list[str], kind: str, spaced: bool) -> None:
    """Trade words in any order: an amount whose ends are in order and finite, or a QuantityError of one line; fast."""
    check((" " if spaced else "").join(words), kind)


@given(st.text(alphabet=st.characters(exclude_categories=()), max_size=90), st.sampled_from(sorted(KINDS)))
@examples(400)
def test_any_text_gives_an_amount_or_one_line(text: str, kind: str) -> None:
    """Any characters at all: an amount or a QuantityError of one line."""
    check(text, kind)


def check(text: str, kind: str) -> None:
    line = "fine"
    try:
        amount = parse(text, kind, where="Field")
    except QuantityError as error:
        line = error.one_line()
    else:
        known = kind_of(kind)
        assert amount.low <= amount.value <= amount.high
        assert all(map(math.isfinite, (amount.low, amount.value, amount.high)))
        assert known.low * 1.001 - 1e-9 <= amount.low or amount.low >= known.low
        assert amount.high <= known.high * 1.001
        assert amount.bound in ("", "above", "below")
        assert amount.understood
        line = amount.understood
    assert "\n" not in line
    assert "\x1b" not in line
    assert quickest(text, kind) < 0.05


def quickest(text: str, kind: str) -> float:
    """Processor time of the quickest of up to three tries: the collector of the test run may strike in one."""
    best = math.inf
    for _ in range(3):
        start = time.process_time()
        with contextlib.suppress(QuantityError):
            parse(text, kind)
        best = min(best, time.process_time() - start)
        if best < 0.05:
            break
    return best


@pytest.mark.parametrize(
    "text", ["1 " * 40, "9" * 80, "1/" * 40, "-" * 80, "1-" * 40, "a" * 80, "1 to " * 16, "1,000," * 13, "in " * 26]
)
@pytest.mark.parametrize("kind", sorted(KINDS))
def test_no_text_takes_long(text: str, kind: str) -> None:
    """Repetitions that make bad patterns slow are answered at once."""
    check(text[:80], kind)


@given(st.sampled_from(EVERY), st.floats(0.001, 0.2))
@examples(200)
def test_about_contains_the_value(kind_unit: tuple[str, str], share: float) -> None:
    """ "About" never moves the value and always reaches to both sides of it."""
    kind, unit = kind_unit
    known = kind_of(kind)
    assume(kind not in ("count", "altitude", "voltage", "current", "ratio", "pressure"))
    text = show(known.low + (known.high - known.low) * (0.1 + share), kind, unit)
    assume(len(text) < 60 and to_unit(known.high, kind, unit) > 1)
    plain, about = parse(text, kind), parse(f"about {text}", kind)
    assert about.value == plain.value
    assert about.low < plain.value < about.high


@pytest.mark.parametrize(("kind", "unit"), EVERY)
def test_every_unit_is_found_by_its_name(kind: str, unit: str) -> None:
    """Each unit is found by its name in any case of letters unless two units share it, and shows with its name."""
    found = find_unit(unit, kind)
    assert found is not None
    assert found.name == unit
    lower = find_unit(unit.lower(), kind)
    assert lower is None or lower.name == unit or fold(lower.name) == fold(unit)


def test_spellings_lead_to_one_unit_each() -> None:
    """No spelling stands for two units of one kind, in its exact form."""
    for kind in KINDS.values():
        seen: dict[str, str] = {}
        for unit in kind.units:
            for said in (unit.name, *unit.said):
                key = said.replace(" ", "")
                assert seen.setdefault(key, unit.name) == unit.name, (kind.name, said)


@pytest.mark.parametrize(
    ("value", "kind", "unit", "text"),
    [
        (299922.0, "pressure", "psi", "43.5 psi"),
        (3e5, "pressure", "bar", "3 bar"),
        (3e5, "pressure", None, "43.5 psi"),
        (-1e4, "pressure", "psi", "-1.45 psi"),
        (0.0, "pressure", "psi", "0 psi"),
        (-1e-20, "pressure", "psi", "0 psi"),
        (101325.0, "absolute pressure", "kPa", "101 kPa absolute"),
        (293.15, "temperature", "C", "20 C"),
        (0.25, "percent", "%", "25 %"),
        (4.0, "count", None, "4"),
        (1.0, "ratio", None, "1"),
        (1234567.0, "pressure", "Pa", "1234567 Pa"),
        (math.nan, "pressure", "psi", "not known"),
        (math.inf, "flow", None, "not known"),
        (0.0087, "bore", "mm", "8.7 mm"),
        (0.05, "resistance", "ohm", "0.05 ohm"),
    ],
)
def test_shown_values(value: float, kind: str, unit: str | None, text: str) -> None:
    """Three figures, no needless zeros, no exponent, no minus zero, whole numbers never rounded away."""
    assert show(value, kind, unit) == text


def test_an_unknown_unit_is_named() -> None:
    """Showing in a unit the kind does not have says which ones are near."""
    with pytest.raises(UnknownNameError, match="no unit of pressure called 'Bars per'"):
        show(1.0, "pressure", "Bars per")


def test_quantities_are_light() -> None:
    """Importing quantities loads neither numpy nor yaml nor the screens, so that a typed value costs no start time."""
    code = "import sys, diag.quantities; print([m for m in ('numpy', 'yaml', 'textual', 'rich') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"
