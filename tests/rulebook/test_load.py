"""Texts become a checked book: values in SI, rows completed, order and fingerprint independent of files."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.load import book_from_texts, load_book, read_folder, read_texts, texts_of
from diag.rulebook.where import rules_folder
from diag.support.errors import RuleBookError, StorageError

GOOD = (Path(__file__).parent / "good.yaml").read_text(encoding="utf-8")
PSI = 6894.757293168  # Pa; NIST SP 811 (from memory)


def test_amounts_arrive_in_si() -> None:
    """Readings, effects and comparisons are SI after loading, whatever unit was written."""
    book = book_from_texts({"good.yaml": GOOD})
    reading = book.readings["rail pressure"]
    assert reading.high == pytest.approx(150 * PSI)
    assert reading.error == pytest.approx(0.7 * PSI)
    effect = book.causes["return-pinched"].acts_on[0]
    assert (effect.low, effect.high) == pytest.approx((0.0018, 0.003))
    seen = book.signs["wont-come-down"].seen_when
    assert seen is not None
    assert (seen.base, seen.side) == ("target", "above")
    assert seen.offset == pytest.approx(3 * PSI)


def test_words_become_the_chances_of_the_knobs() -> None:
    """Strength and frequency words take their value from the knobs of the same book."""
    knobs = (
        "knobs:\n  strengths: {is: {usually: 0.7, often: 0.6, hardly ever: 0.02}, basis: judgement, why: w}\n"
        "  frequency_words: {is: {common: 0.2, rare: 0.01}, basis: judgement, why: w}\n"
    )
    book = book_from_texts({"a.yaml": GOOD, "k.yaml": knobs})
    assert book.causes["return-pinched"].shows == {"running-rich": 0.7}
    assert book.causes["return-pinched"].how_often.share == 0.2
    assert book.causes["return-pinched"].how_often.words == "common"
    assert book.knobs.none == 0.05  # not said in this book, so the documented default


def test_rest_of_a_choice_is_spread_as_usual() -> None:
    """A row names only what differs; the rest keeps the proportions of 'usual' (0.8 to 0.05) and all adds up to 1."""
    row = book_from_texts({"good.yaml": GOOD}).causes["return-pinched"].answers["needle"]
    assert row["trembling"] == 0.6
    assert row["steady"] / row["swinging"] == pytest.approx(0.8 / 0.05)
    assert sum(row.values()) == pytest.approx(1.0)


def test_possible_answers_and_defaults() -> None:
    """A yes/no sign can be present or absent, a choice one of its answers; steps take careful defaults."""
    book = book_from_texts({"good.yaml": GOOD})
    assert book.signs["rich-smell"].possible == (PRESENT, ABSENT)
    assert book.signs["needle"].possible == ("steady", "trembling", "swinging")
    check = book.checks["base-pressure"]
    assert (check.person, check.by_phone, check.for_leaks, check.risk_minutes) == ("hobbyist", False, False, 0.0)


def test_order_of_files_and_lists_does_not_matter() -> None:
    """The same rules under other file names and in another order are the same book with the same fingerprint."""
    head, _, tail = GOOD.partition("causes:\n")
    causes, _, rest = tail.partition("checks:\n")
    parts = {"x.yaml": head, "b.yaml": "causes:\n" + causes, "c.yaml": "checks:\n" + rest}
    other = {"1.yaml": parts["c.yaml"], "2.yaml": parts["b.yaml"], "3.yaml": parts["x.yaml"]}
    one, two = book_from_texts(parts), book_from_texts(other)
    assert one == two
    assert list(one.causes) == sorted(one.causes)
    assert one.fingerprint != book_from_texts({**parts, "d.yaml": "tools: {extra: one more}\n"}).fingerprint


def test_every_problem_is_collected() -> None:
    """One load reports all problems of all files, each with its own place; nothing is hidden by the first one."""
    bad = {"a.yaml": GOOD, "b.yaml": "cuases: []\ntoools: {}\n", "c.yaml": "signs: 3\n", "d.yaml": "x: [\n"}
    with pytest.raises(RuleBookError) as caught:
        book_from_texts(bad)
    places = [str(p.place) for p in caught.value.problems]
    assert places == ["b.yaml:1:1", "b.yaml:2:1", "c.yaml:1:8", "d.yaml:2:1"]
    assert "3 more" in caught.value.one_line()


def test_bad_entry_leaves_the_others_usable() -> None:
    """The draft keeps every entry that could be read, so that lint can go on."""
    draft = read_texts({"a.yaml": GOOD.replace("kind: instrument", "kind: instrumnet")})
    assert list(draft.book.causes) == ["return-pinched"]
    assert [p.rule for p in draft.problems] == ["schema"]


def test_folder_needs_its_knobs(tmp_path: Path) -> None:
    """A rule book in a folder must say every knob; only tiny books in tests may leave them out."""
    (tmp_path / "a.yaml").write_text(GOOD, encoding="utf-8")
    assert {p.rule for p in read_folder(tmp_path).problems} == {"missing-field"}
    assert any("'commit_at'" in p.what for p in read_folder(tmp_path).problems)


def test_empty_folder_is_refused(tmp_path: Path) -> None:
    """A folder without rules is a clear storage error."""
    with pytest.raises(StorageError, match=r"no \.yaml files"):
        load_book(tmp_path)


def test_shipped_book_loads() -> None:
    """The shipped rules load without a problem."""
    draft = read_texts(texts_of(rules_folder()), need_knobs=True)
    assert [str(p) for p in draft.problems] == []


def test_the_shipped_book_loads_fast() -> None:
    """In well under half a second."""
    texts = texts_of(rules_folder())
    assert min(_timed(texts) for _ in range(3)) < 0.5


def _timed(texts: dict[str, str]) -> float:
    start = time.process_time()  # what other programs do meanwhile does not count
    read_texts(texts, need_knobs=True)
    return time.process_time() - start


def test_rules_inside_a_hidden_folder_are_found(tmp_path: Path) -> None:
    """An environment called .venv holds the installed rules; only hidden files inside the rules are passed over."""
    folder = tmp_path / ".venv" / "rules"
    folder.mkdir(parents=True)
    (folder / "book.yaml").write_text("format: 1\n", encoding="utf-8")
    (folder / ".draft.yaml").write_text("not: read\n", encoding="utf-8")
    assert [Path(name).name for name in texts_of(folder)] == ["book.yaml"]
