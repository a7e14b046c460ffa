"""Nothing in the whole product prints a word of the list of words we do not print."""

from __future__ import annotations

import re

from diag.rulebook.lint.rules.unprinted_words import digest
from diag.rulebook.load import read_folder
from diag.rulebook.where import rules_folder
from tests import ROOT

PLACES = ("README.md", "DEVELOPERS.md", "pyproject.toml", "diag", "rules", "cases", "tests")
TEXT = (".py", ".md", ".yaml", ".toml", ".json", ".html", ".svg", ".css", ".tcss", ".txt")


def test_no_listed_word_anywhere() -> None:
    """Every word of every text file is compared with the digests under 'unprinted' in the rules."""
    listed = read_folder(rules_folder()).unprinted
    assert len(listed) > 50
    words: dict[str, str] = {}
    for place in PLACES:
        top = ROOT / place
        files = (
            [top] if top.is_file() else [p for p in top.rglob("*") if p.suffix in TEXT and "__pycache__" not in p.parts]
        )
        for path in files:
            for word in re.findall(
                r"[a-z0-9]+(?:-[a-z0-9]+)*", path.read_text(encoding="utf-8", errors="replace").lower()
            ):
                words.setdefault(word, path.name)
    assert {word: where for word, where in words.items() if digest(word) in listed} == {}
