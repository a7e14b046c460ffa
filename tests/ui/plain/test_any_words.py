"""Any words in any order: the line mode never breaks, never goes round in circles, never lets an escape out."""

from __future__ import annotations

import random

import pytest

from diag.support.text import unfit
from diag.ui.plain.commands import listed
from tests.ui.plain.person import Person

ANSWERS = ["yes", "no", "u", "1", "2", "3", "9", "", "?", "maybe yes", "second hand no", "understood", "43.5 psi",
           "38 to 44", "over 100 psi", "5 ft", "-3", "nan", "12,5 V", "steady", "none", "Oskar"]  # fmt: skip
RESTS = ["", "1", "3", "7 = yes", "if 5 = 40 psi", "back 4 slip", "over Oskar: pump is out", "won't drop",
         "base pressure", "return-bore = 8 mm", "fuel = E85", "photo a.jpg", "waiting part ordered", "rail", "workshop",
         "\x1b[2J\u202e <b>[/]", "x" * 5000]  # fmt: skip


def lines(seed: int, count: int) -> list[str]:
    """Some lines: answers, commands with sensible and senseless rests, rubbish."""
    chance = random.Random(seed)
    words = [command.name for command in listed() if command.name != "quit"]
    made = []
    for _ in range(count):
        if chance.random() < 0.45:
            made.append(chance.choice(ANSWERS))
        elif chance.random() < 0.9:
            made.append(f"{chance.choice(words)} {chance.choice(RESTS)}")
        else:
            made.append("".join(chance.choice("abz\x00\x1b\u202e[]{}=%'\"\\ 0") for _ in range(30)))
    return made


@pytest.mark.parametrize("seed", range(8))
def test_any_words_in_any_order_are_survived(seed: int) -> None:
    """Thirty lines of anything; every refusal is a sentence, and numbers of entries only grow."""
    person = Person(lines(seed, 30)).run()
    assert person.code == 0
    assert unfit(person.said.replace("\n", " ")) is None
    numbers = [entry.number for entry in person.room.jobs[0].case.entries]
    assert numbers == sorted(set(numbers))
