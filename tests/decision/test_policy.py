"""Every figure of the choice stands in one place, with its basis."""

from __future__ import annotations

import ast
from dataclasses import fields, replace
from pathlib import Path

from diag.decision import policy
from diag.decision.next_step import propose
from diag.decision.policy import POLICY, Policy
from tests.decision.choice import plain_table
from tests.decision.test_next_step import DRY, MODEL, ask, told

FOLDER = Path(policy.__file__).parent


def test_every_tuned_figure_has_a_basis() -> None:
    """Judgement is called judgement; whole numbers are limits of the arithmetic or of what is told."""
    basis = Policy.basis()
    for figure in fields(Policy):
        if figure.type == "float":
            origin, why = basis[figure.name]
            assert origin in ("judgement", "computed")
            assert len(why) > 15


def test_no_other_module_of_the_choice_keeps_a_figure() -> None:
    """A threshold outside the policy would be one that nobody finds."""
    wrong = []
    for path in FOLDER.glob("*.py"):
        if path.name == "policy.py":
            continue
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            value = node.value if isinstance(node, ast.Assign | ast.AnnAssign) else None
            if isinstance(value, ast.Constant) and isinstance(value.value, int | float):
                wrong.append(f"{path.name}:{node.lineno}")
    assert wrong == []


def test_the_policy_is_what_decides() -> None:
    """Turned so that no check tells enough, the same answers lead to a remedy instead of a check."""
    evidence = told(("whine", "+"))
    usual, believed = ask(evidence, DRY)
    assert usual.kind == "check"
    rash = replace(POLICY, least_rate=1e6)
    assert propose(MODEL, believed, evidence, DRY, plain_table, rash).kind == "remedy"
