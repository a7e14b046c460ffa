"""Sentences written from the trade before the matcher was run on any of them: right first, among three, wrong ticks."""

from __future__ import annotations

import pytest

from diag.hearing.likely import sign_chances
from diag.hearing.understood import Setting
from diag.rulebook.model import RuleBook
from tests.hearing.scoring import known, score, sentences

FILES = (
    "told_while_building.yaml", "told_kept_aside.yaml", "told_as_stories.yaml", "told_by_others.yaml", "told_last.yaml",
    "told_unseen.yaml", "told_at_the_bench.yaml", "told_once_more.yaml", "told_at_the_end.yaml",
    "told_of_healthy_parts_and_deeds.yaml", "told_by_a_hobbyist.yaml",
    "told_by_an_old_hand.yaml", "told_by_customers.yaml", "told_by_a_workshop.yaml",
    "told_over_the_counter.yaml", "told_by_a_trainee.yaml",
    "told_last_of_all.yaml", "told_from_elsewhere.yaml", "told_in_six_voices.yaml", "told_in_six_voices_again.yaml",
    "told_in_six_voices_at_last.yaml", "told_in_six_voices_after_all.yaml",
    "told_in_six_voices_to_end.yaml",
)  # fmt: skip


@pytest.mark.parametrize("name", FILES)
def test_every_wanted_thing_is_in_the_book(name: str, book: RuleBook) -> None:
    """What a master would write down is named as the book names it."""
    wanted = [way for row in sentences(name) for m in row["means"] for way in str(m).split(" | ")]  # type: ignore[attr-defined]
    assert [way for way in wanted if not known(way, book)] == []


def test_the_half_seen_while_building(book: RuleBook) -> None:
    """Right first in nine of ten, among three in 97 of 100, wrong ticks under 3 of 100."""
    found = score(sentences("told_while_building.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.90 * found.wanted, found.text
    assert found.among_three >= 0.97 * found.wanted, found.text
    assert found.wrong_ticks < 0.03 * found.ticked, found.text


def test_the_half_that_was_kept_aside(book: RuleBook) -> None:
    """At the first look: 0.92 right first, 0.95 among three, 0.075 of the ticks wrong; then faults of kind were mended.

    The mended kinds: a sentence's first word taken for a name, "until 10 psi boost" taken for the car's boost, "from 43
    to 5" read as a span, "when the tank is full" read as a level. The floors are what holds now.
    """
    found = score(sentences("told_kept_aside.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.92 * found.wanted, found.text
    assert found.among_three >= 0.95 * found.wanted, found.text
    assert found.wrong_ticks < 0.05 * found.ticked, found.text


def test_whole_openings(book: RuleBook) -> None:
    """Stories of several sentences, several things in each: harder, and measured apart."""
    found = score(sentences("told_as_stories.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.84 * found.wanted, found.text
    assert found.among_three >= 0.93 * found.wanted, found.text
    assert found.wrong_ticks < 0.06 * found.ticked, found.text


def test_other_tellers_and_other_faults(book: RuleBook) -> None:
    """At the first look: 0.40 right first, 0.50 among three, 0.40 of the ticks wrong; then faults of kind were mended.

    The mended kinds: numbers in words, deeds and tools taken for signs, alarms on other words than their own, lines
    that lose the word that says when, and everyday verbs that the book did not know. The floors are what holds now.
    """
    found = score(sentences("told_by_others.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.88 * found.wanted, found.text
    assert found.among_three >= 0.90 * found.wanted, found.text
    assert found.wrong_ticks < 0.06 * found.ticked, found.text


def test_forty_after_that(book: RuleBook) -> None:
    """At the first look: 0.41 right first, 0.44 among three, 0.11 of the ticks wrong: vivid speech is still hard.

    The mended kinds: roads, people and numbers of a story that counted like words of the trade, everyday verbs in
    their other tenses, "from forty to twelve", weak fits of complaints that were not shown. Floors, as above.
    """
    found = score(sentences("told_last.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.80 * found.wanted, found.text
    assert found.among_three >= 0.82 * found.wanted, found.text
    assert found.wrong_ticks < 0.06 * found.ticked, found.text


def test_thirty_that_little_was_mended_by(book: RuleBook) -> None:
    """At the first look: 0.70 right first and among three, none of 13 ticks wrong; later lines of the book helped."""
    found = score(sentences("told_unseen.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.90 * found.wanted, found.text
    assert found.wrong_ticks == 0, found.text


def test_sixty_from_the_bench(book: RuleBook) -> None:
    """At the first look: 0.60 right first, 0.67 among three, 0.10 of the ticks wrong; then faults of kind were mended.

    The mended kinds: a difference from the target read as a pressure, volts read out as "twelve six", sizes told one
    after the other, tank levels that are only a condition, words before "the tank" or "the key" that hid a state, and
    everyday lines that the book had too few of. Floors, as above.
    """
    found = score(sentences("told_at_the_bench.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.90 * found.wanted, found.text
    assert found.among_three >= 0.92 * found.wanted, found.text
    assert found.wrong_ticks < 0.03 * found.ticked, found.text


def test_forty_once_more(book: RuleBook) -> None:
    """At the first look: 0.57 right first, 0.61 among three, 0.10 of the ticks wrong; then faults of kind were mended.

    The mended kinds: "its" opened out like "it's", a limit that is denied ("never above thirty"), decimals told without
    their unit, what never changes taken back by "never", and deeds whose outcome is "still no". Floors, as above.
    """
    found = score(sentences("told_once_more.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.90 * found.wanted, found.text
    assert found.among_three >= 0.92 * found.wanted, found.text
    assert found.wrong_ticks < 0.05 * found.ticked, found.text


def test_thirty_six_at_the_end(book: RuleBook) -> None:
    """At the first look: 0.69 right first, 0.74 among three, one of 17 ticks wrong; then faults of kind were mended.

    The mended kinds: a place called dry that was heard as wet, a deed of which nothing came, fixed pairs that were
    split at their "and". Floors, as above.
    """
    found = score(sentences("told_at_the_end.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.85 * found.wanted, found.text
    assert found.among_three >= 0.90 * found.wanted, found.text
    assert found.wrong_ticks == 0, found.text


def test_healthy_parts_and_deeds(book: RuleBook) -> None:
    """At the first look: 0.54 right first, 0.59 among three, 0.16 of the ticks wrong; then faults of kind were mended.

    The mended kinds: what is called well heard as its fault, what came of a deed, figures named by their place or told
    in parts of a whole, and fuel that runs out somewhere the book has no line for. Floors, as above.
    """
    found = score(sentences("told_of_healthy_parts_and_deeds.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.95 * found.wanted, found.text
    assert found.among_three >= 0.96 * found.wanted, found.text
    assert found.wrong_ticks < 0.02 * found.ticked, found.text


def test_sixty_by_a_hobbyist(book: RuleBook) -> None:
    """At the first look: 0.69 right first, 0.81 among three, 0.12 of 33 ticks wrong.

    Then findings were put together from concepts, besides counting the words of the book's lines. Floors, as above.
    """
    found = score(sentences("told_by_a_hobbyist.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.88 * found.wanted, found.text
    assert found.among_three >= 0.95 * found.wanted, found.text
    assert found.wrong_ticks < 0.03 * found.ticked, found.text


def test_sixty_by_an_old_hand(book: RuleBook) -> None:
    """At the first look: 0.73 right first, 0.79 among three, 0.10 of 40 ticks wrong.

    Then the concepts were given many more words, on either side of the ocean. Floors, as above.
    """
    found = score(sentences("told_by_an_old_hand.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.95 * found.wanted, found.text
    assert found.wrong_ticks < 0.03 * found.ticked, found.text


def test_sixty_by_customers(book: RuleBook) -> None:
    """At the first look: 0.74 right first, 0.81 among three, 0.13 of 45 ticks wrong.

    The mended kinds: order in time ("it stopped, then it started at once"), "until" and "but" between two states,
    meanings that arise only from joined pieces, and answers ("no, ...") taken for denials. Floors, as above.
    """
    found = score(sentences("told_by_customers.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.95 * found.wanted, found.text
    assert found.wrong_ticks < 0.05 * found.ticked, found.text


def test_sixty_by_a_workshop(book: RuleBook) -> None:
    """At the first look: 0.80 right first, 0.83 among three, 0.13 of 46 ticks wrong.

    The mended kinds: the words of job cards, what a fuse is made for read as a current, "reads zero" of a rev counter
    read as a pressure, and deeds told with the part first. Floors, as above.
    """
    found = score(sentences("told_by_a_workshop.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.95 * found.wanted, found.text
    assert found.wrong_ticks < 0.03 * found.ticked, found.text


def test_fifty_over_the_counter(book: RuleBook) -> None:
    """At the first look: 0.69 right first, 0.79 among three, 4 of 27 ticks wrong.

    The mended kinds: a light that "isn't on", and words of people whose first language is another. Floors, as above.
    """
    found = score(sentences("told_over_the_counter.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.90 * found.wanted, found.text
    assert found.wrong_ticks < 0.05 * found.ticked, found.text


def test_forty_by_a_trainee(book: RuleBook) -> None:
    """At the first look: 0.78 right first, 0.91 among three, 4 of 29 ticks wrong (two were right but not listed).

    The mended kinds: what is general told beside what is closer, rates taken for readings, needles that shiver. Floors,
    as above.
    """
    found = score(sentences("told_by_a_trainee.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.88 * found.wanted, found.text
    assert found.wrong_ticks < 0.05 * found.ticked, found.text


def test_thirty_last_of_all(book: RuleBook) -> None:
    """At the first look: 0.80 right first, 0.83 among three, 2 of 19 ticks wrong.

    The mended kinds: a deed told by its part alone ("new relay, same fault"), and how far a needle swings. Floors.
    """
    found = score(sentences("told_last_of_all.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.85 * found.wanted, found.text
    assert found.wrong_ticks <= 1, found.text


def test_a_hundred_and_fifty_from_elsewhere(book: RuleBook) -> None:
    """At the first look: 0.67 and 0.69 of the two halves right first, 0.76 and 0.78 among three, 0.05 and 0.08 wrong.

    The mended kinds: figures by the place they name, the second fact of one breath, corrections and spans in two
    halves, "fine when it's cold", and ticks that rested on one or two words. Floors, as above.
    """
    found = score(sentences("told_from_elsewhere.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.90 * found.wanted, found.text
    assert found.among_three >= 0.94 * found.wanted, found.text
    assert found.wrong_ticks < 0.03 * found.ticked, found.text


def test_fifty_in_six_voices(book: RuleBook) -> None:
    """At the first look: 0.64 right first, 0.73 among three, 6 of 37 ticks wrong.

    The mended kinds: shorthand, single words taken for evidence, contrasts, places named beside figures. Floors.
    """
    found = score(sentences("told_in_six_voices.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.87 * found.wanted, found.text
    assert found.among_three >= 0.90 * found.wanted, found.text
    assert found.wrong_ticks < 0.03 * found.ticked, found.text


def test_fifty_in_six_voices_again(book: RuleBook) -> None:
    """At the first look: 0.70 right first, 0.81 among three, none of 22 ticks wrong.

    The mended kinds: "fine till you floor it", work after which it began, what was found on looking. Floors.
    """
    found = score(sentences("told_in_six_voices_again.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.84 * found.wanted, found.text
    assert found.among_three >= 0.87 * found.wanted, found.text
    assert found.wrong_ticks < 0.03 * found.ticked, found.text


def test_fifty_in_six_voices_at_last(book: RuleBook) -> None:
    """At the first look: 0.59 right first, 0.69 among three, 9 of 37 ticks wrong, most of them of job cards' figures.

    The mended kinds: decimal commas, "to 0 in 10 s", falls told as spans, a second figure for one place, lists of dry
    places, "hot only", "no 3". Floors.
    """
    found = score(sentences("told_in_six_voices_at_last.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.84 * found.wanted, found.text
    assert found.among_three >= 0.86 * found.wanted, found.text
    assert found.wrong_ticks < 0.03 * found.ticked, found.text


def test_fifty_in_six_voices_after_all(book: RuleBook) -> None:
    """At the first look: 0.79 right first, 0.82 among three, 1 of 35 ticks wrong.

    The mended kinds: lists of renewed parts, "key-on" with its hyphen, "up to" of what only rises. Floors.
    """
    found = score(sentences("told_in_six_voices_after_all.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.87 * found.wanted, found.text
    assert found.among_three >= 0.88 * found.wanted, found.text
    assert found.wrong_ticks < 0.03 * found.ticked, found.text


def test_forty_in_six_voices_to_end(book: RuleBook) -> None:
    """At the first look: 0.71 right first, 0.79 among three, 1 of 23 ticks wrong (a leak, at another place than told).

    The mended kinds: bare figures beside one in bar, "cold instant", plus signs that join. Floors.
    """
    found = score(sentences("told_in_six_voices_to_end.yaml"), book, Setting(likely=sign_chances(book)))
    assert found.first >= 0.85 * found.wanted, found.text
    assert found.among_three >= 0.89 * found.wanted, found.text
    assert found.wrong_ticks <= 1, found.text
