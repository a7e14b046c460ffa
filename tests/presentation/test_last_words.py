"""Nothing but ``diag.presentation.last_words`` says whether answers are on disk."""

from __future__ import annotations

import ast
import re
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[2] / "diag"
CLAIM = re.compile(
    r"\bon disk\b|\balready saved\b|\banswer is saved\b|\bnothing (is|was) lost\b|\bsaved:", re.IGNORECASE
)


def _docstrings(tree: ast.AST) -> set[int]:
    """The constants that are documentation and are never shown."""
    found = set()
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        if (
            isinstance(body, list)
            and body
            and isinstance(body[0], ast.Expr)
            and isinstance(body[0].value, ast.Constant)
        ):
            found.add(id(body[0].value))
    return found


def test_no_other_module_claims_that_something_is_on_disk() -> None:
    """Every text of the front ends and below: a claim about the disk comes from the state of the jobs, in one place."""
    wrong = []
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.name == "last_words.py":
            continue
        tree = ast.parse(path.read_text(encoding="utf-8"))
        skip = _docstrings(tree)
        for node in ast.walk(tree):
            told = isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in skip
            if told and CLAIM.search(node.value):  # type: ignore[attr-defined]
                wrong.append(f"{path.relative_to(PACKAGE)}:{node.lineno} {node.value!r}")  # type: ignore[attr-defined]
    assert wrong == []
