"""Invented closed jobs for the tests of learning."""

from __future__ import annotations

from collections.abc import Mapping

from diag.casework.summary import Summary
from diag.rulebook.basis import Basis
from diag.rulebook.causes import Cause, Frequency
from diag.rulebook.model import RuleBook
from tests.inference.books import book, knobs

T = "2026-11-25T13:00:00Z"


def small_book(shares: Mapping[str, float] | None = None) -> RuleBook:
    """Four causes with stated shares and nothing else."""
    shares = shares or {"a": 0.4, "b": 0.3, "c": 0.2, "d": 0.1}
    causes = [
        Cause(name, name.upper(), "area", "damage", "", Frequency(share, "", Basis("judgement", "")), ())
        for name, share in shares.items()
    ]
    return book(causes, figures=knobs(none=0.05, two_or_more=0.08))


def closed(number: int, *causes: str, **more: object) -> Summary:
    """One closed job, cured and proven unless told otherwise."""
    plain: dict[str, object] = {
        "id": f"job-{number}", "title": "x", "opened": T, "changed": T, "status": "closed", "result": "cured",
        "proven": True, "causes": causes, "steps": (), "believed": (), "car": {}, "people": ("Mira",), "book": "1",
        "text": "",
    }  # fmt: skip
    return Summary(**(plain | more))  # type: ignore[arg-type]
