"""The kept copy of a rule book: the same book, and never a wrong one."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest

from diag.rulebook import cached
from diag.rulebook.cached import from_plain, load_quickly, to_plain
from diag.rulebook.load import load_book
from diag.support.errors import RuleBookError
from tests.ui.plain.person import the_book

HERE = Path(__file__).parent
SHIPPED = (HERE.parents[1] / "rules" / "book.yaml").read_text(encoding="utf-8")
KNOBS = SHIPPED[SHIPPED.index("\nknobs:") : SHIPPED.index("\nareas:")]
GOOD = (HERE / "good.yaml").read_text(encoding="utf-8")


def rules(folder: Path) -> Path:
    """A folder with a small good rule book."""
    folder.mkdir()
    (folder / "book.yaml").write_text(GOOD, encoding="utf-8")
    (folder / "knobs.yaml").write_text(KNOBS, encoding="utf-8")
    return folder


def same(one: Any, two: Any) -> bool:
    """Equal in every field, places of origin and order of mappings included, but for what others keep with a book."""
    if is_dataclass(one):
        names = [f.name for f in fields(one) if f.init]
        return type(one) is type(two) and all(same(getattr(one, name), getattr(two, name)) for name in names)
    if isinstance(one, dict):
        return list(one) == list(two) and all(same(one[key], two[key]) for key in one)
    if isinstance(one, tuple):
        return isinstance(two, tuple) and len(one) == len(two) and all(map(same, one, two))
    return type(one) is type(two) and bool(one == two)


def reads(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Count how often rules are really read."""
    seen: list[Path] = []
    real = cached._load
    monkeypatch.setattr(cached, "_load", lambda folder: (seen.append(folder), real(folder))[1])
    return seen


def test_the_shipped_book_comes_back_the_same_in_every_field() -> None:
    """Every object, figure, order and place survives the way to plain data and back."""
    import json

    book = the_book()
    assert same(from_plain(json.loads(json.dumps(to_plain(book)))), book)


def test_the_second_time_no_rule_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One reading, then the copy."""
    seen = reads(monkeypatch)
    folder = rules(tmp_path / "rules")
    first, second = (load_quickly(folder, tmp_path / "cache") for _ in range(2))
    assert len(seen) == 1
    assert same(first, second)
    assert same(second, load_book(folder))


def test_any_change_of_the_rules_makes_the_copy_worthless(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another text, another file or a file gone: the rules are read again."""
    seen = reads(monkeypatch)
    folder = rules(tmp_path / "rules")
    load_quickly(folder, tmp_path / "cache")
    path = folder / "book.yaml"
    path.write_text(GOOD + "\n# another word\n", encoding="utf-8")
    assert load_quickly(folder, tmp_path / "cache").fingerprint == load_book(folder).fingerprint
    (folder / "more.yaml").write_text("tools: {spare-lamp: a lamp}\n", encoding="utf-8")
    assert "spare-lamp" in load_quickly(folder, tmp_path / "cache").tools
    (folder / "more.yaml").unlink()
    assert "spare-lamp" not in load_quickly(folder, tmp_path / "cache").tools
    assert len(seen) == 4


@pytest.mark.parametrize("spoil", ["cut", "letter", "empty", "words", "foreign"])
def test_a_spoilt_copy_is_never_used(tmp_path: Path, spoil: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Cut short, a letter changed, emptied, not JSON, a class nobody knows: read again, the same book."""
    folder = rules(tmp_path / "rules")
    book = load_quickly(folder, tmp_path / "cache")
    (copy,) = (tmp_path / "cache" / "diag").glob("rules-*.json")
    text = copy.read_text(encoding="utf-8")
    key = text.split("\n", 1)[0]
    foreign = '["\\u0000Path","/etc"]'
    spoilt = {
        "cut": text[: len(text) // 2],
        "letter": text.replace("a", "b", 1) if spoil != "letter" else text[:-40] + "x" + text[-39:],
        "empty": "",
        "words": f"{key}\n{cached.digest_of('words')}\nwords\n",
        "foreign": f"{key}\n{cached.digest_of(foreign)}\n{foreign}\n",
    }[spoil]
    copy.write_text(spoilt, encoding="utf-8")
    seen = reads(monkeypatch)
    assert same(load_quickly(folder, tmp_path / "cache"), book)
    assert len(seen) == 1


def test_a_bad_book_is_never_kept(tmp_path: Path) -> None:
    """A book with errors is refused both times."""
    folder = rules(tmp_path / "rules")
    (folder / "bad.yaml").write_text("signs:\n  - sign: knocking\n", encoding="utf-8")
    for _ in range(2):
        with pytest.raises(RuleBookError):
            load_quickly(folder, tmp_path / "cache")
    assert not list((tmp_path / "cache").rglob("*.json"))


def test_a_cache_that_cannot_be_written_does_not_matter(tmp_path: Path) -> None:
    """A file where the folder should be: no copy, the right book."""
    folder = rules(tmp_path / "rules")
    (tmp_path / "cache").write_text("in the way", encoding="utf-8")
    assert load_quickly(folder, tmp_path / "cache").fingerprint == load_book(folder).fingerprint
    assert load_quickly(folder, None).fingerprint == load_book(folder).fingerprint
