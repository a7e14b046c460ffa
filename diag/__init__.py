"""Fault finding on return-style electronic fuel injection systems, from complaint to proven repair.

The library's door. Every name below is loaded when it is first asked for, so that importing costs nothing:

- rule book: ``open_rule_book``, ``RuleBook``
- a job: ``new_job``, ``read_job``, ``Job``; ``ranking``, ``reasons``, ``next_step``, ``stops``
- the physics: ``car``, ``predict``, ``Spread``
- design questions: ``ask``, ``DESIGN_QUESTIONS``, ``Answer``
- ``UserError``: the base of every error that is not a fault of the program
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from diag.design.answer import Answer as Answer
    from diag.inference.expected_reading import Spread as Spread
    from diag.library import DESIGN_QUESTIONS as DESIGN_QUESTIONS
    from diag.library import Reason as Reason
    from diag.library import Suspect as Suspect
    from diag.library import ask as ask
    from diag.library import car as car
    from diag.library import new_job as new_job
    from diag.library import next_step as next_step
    from diag.library import open_rule_book as open_rule_book
    from diag.library import predict as predict
    from diag.library import ranking as ranking
    from diag.library import read_job as read_job
    from diag.library import reasons as reasons
    from diag.library import stops as stops
    from diag.rulebook.model import RuleBook as RuleBook
    from diag.session.job import Job as Job
    from diag.support.errors import UserError as UserError

__version__ = "0.2.0"

_ROOMS = {
    "Answer": "diag.design.answer",
    "DESIGN_QUESTIONS": "diag.library",
    "Job": "diag.session.job",
    "Reason": "diag.library",
    "RuleBook": "diag.rulebook.model",
    "Spread": "diag.inference.expected_reading",
    "Suspect": "diag.library",
    "UserError": "diag.support.errors",
    "ask": "diag.library",
    "car": "diag.library",
    "new_job": "diag.library",
    "next_step": "diag.library",
    "open_rule_book": "diag.library",
    "predict": "diag.library",
    "ranking": "diag.library",
    "read_job": "diag.library",
    "reasons": "diag.library",
    "stops": "diag.library",
}

__all__ = ["__version__", *_ROOMS]


def __getattr__(name: str) -> Any:
    if name not in _ROOMS:
        raise AttributeError(f"module 'diag' has no attribute {name!r}")
    return getattr(import_module(_ROOMS[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
