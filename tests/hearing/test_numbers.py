"""Numbers in words: every one up to two hundred, beside every unit and as a gauge is read out.

Reference: the spelling rules of English cardinal numbers, built here from the words of their digits.
"""

from __future__ import annotations

import pytest

from diag.hearing.figures import figures_in, with_digits
from diag.hearing.numbers import number_of

ONES = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
]  # fmt: skip
TENS = ["-", "-", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def spelled(number: int, joint: str = " ", hundred: str = " and ") -> str:
    """A whole number from 0 to 200 in words."""
    if number < 20:
        return ONES[number]
    if number < 100:
        return TENS[number // 10] + (joint + ONES[number % 10] if number % 10 else "")
    rest = number % 100
    return f"{ONES[number // 100]} hundred" + (hundred + spelled(rest, joint) if rest else "")


@pytest.mark.parametrize(("joint", "hundred"), [(" ", " and "), ("-", " and "), ("-", " ")])
def test_every_number_up_to_two_hundred(joint: str, hundred: str) -> None:
    """With and without a hyphen, with and without "and"."""
    for number in range(201):
        assert number_of(spelled(number, joint, hundred)) == number


@pytest.mark.parametrize(("unit", "kind"), [("psi", "pressure"), ("bar", "pressure"), ("volts", "voltage"),
                                            ("amps", "current"), ("inches of vacuum", "vacuum")])  # fmt: skip
def test_a_unit_makes_every_number_a_figure(unit: str, kind: str) -> None:
    """But "one", which is an article as often."""
    for number in range(2, 201):
        (found,) = figures_in(with_digits(f"it is {spelled(number)} {unit} now"))
        assert (found.kind, found.number) == (kind, number), spelled(number)


@pytest.mark.parametrize("frame", ["Rail shows {}", "the gauge reads {}", "pressure is {}", "needle sits at {}",
                                   "the needle went up to {}", "rail shows {} at idle, hose on"])  # fmt: skip
def test_a_gauge_is_read_out_without_a_unit(frame: str) -> None:
    """Every number from ten on."""
    for number in range(10, 201):
        (found,) = figures_in(with_digits(frame.format(spelled(number))))
        assert found.number == number, frame.format(spelled(number))


@pytest.mark.parametrize(
    "words", ["{} years old", "for {} miles", "{} times", "{} of them", "{} cylinders", "{} hundred revs"]
)
def test_counts_and_times_stay_words(words: str) -> None:
    """Nothing is read off them."""
    for number in (2, 3, 4, 6, 8, 10, 11, 12, 15, 18):
        assert figures_in(with_digits(f"it ran {words.format(spelled(number))}")) == []


def test_parts_of_a_number() -> None:
    """ "Point five" and "and a half"."""
    assert number_of("two and a half") == 2.5
    assert number_of("forty-three point five") == 43.5
    assert number_of("a hundred and ninety") == 190
    assert number_of("the") is None
