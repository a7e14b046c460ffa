"""What the documents for contributors name is there: rooms, files, and the variables that hold each symbol."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
MATHEMATICS = "diag/inference/README.md"
FILE = re.compile(r"[\w./-]*\w\.(?:py|md|sql|svg)\b")
PLACEHOLDER = re.compile(r"[A-Z]{3,}\.")  # cases/NAME.yaml
BORROWED = {"exp"}  # mathematics, no variable


def words_of(document: str) -> str:
    """A document as it lies in the checkout."""
    return (ROOT / document).read_text(encoding="utf-8")


@pytest.mark.parametrize("document", ["DEVELOPERS.md", MATHEMATICS])
def test_every_file_that_is_named_is_there(document: str) -> None:
    """A move without a word here sends the next reader to nothing."""
    files = {
        path.relative_to(ROOT).as_posix()
        for folder in ("diag", "tests", "rules", ".")
        for path in (ROOT / folder).glob("*" if folder == "." else "**/*")
        if path.is_file()
    }
    named = {name for name in FILE.findall(words_of(document)) if not PLACEHOLDER.search(name)}
    assert len(named) > 3
    assert sorted(n for n in named if not any(f == n or f.endswith(f"/{n}") for f in files)) == []


def test_the_tree_has_one_line_for_every_room() -> None:
    """The house as drawn is the house as built."""
    tree = words_of("DEVELOPERS.md").split("```", 2)[1]
    drawn = re.findall(r"^  (\w+)/ ", tree, re.MULTILINE)
    built = [p.name for p in (ROOT / "diag").iterdir() if (p / "__init__.py").exists()]
    assert sorted(drawn) == sorted(built)


def names_of(path: Path) -> set[str]:
    """Everything a module defines: its own name and its room, functions, classes, parameters, fields and variables."""
    found = {path.stem, path.parent.name}
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            found.add(node.name)
        elif isinstance(node, ast.arg):
            found.add(node.arg)
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            found.add(node.id)
        elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store):
            found.add(node.attr)
    return found


def test_every_variable_of_the_mathematics_is_in_the_code() -> None:
    """A symbol whose variable was renamed leads nowhere; keys of the rule book and numbers are no variables."""
    defined: set[str] = set().union(*(names_of(path) for path in (ROOT / "diag").rglob("*.py")))
    told = words_of("rules/book.yaml")
    missing = set()
    for code in re.findall(r"`([^`\n]+)`", words_of(MATHEMATICS)):
        if FILE.search(code) or code.startswith("rules/"):
            continue
        for name in re.findall(r"[A-Za-z_]\w*", code):
            if name not in defined | BORROWED and not re.search(rf"\b{name}\b", told):
                missing.add(f"{name} (in `{code}`)")
    assert sorted(missing) == []
