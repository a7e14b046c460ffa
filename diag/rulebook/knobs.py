"""The figures that belong to the book as a whole, each written as {is, basis, why}."""

from __future__ import annotations

from typing import Any

from diag.rulebook.basis import Basis
from diag.rulebook.desk import Desk
from diag.rulebook.model import Knobs
from diag.rulebook.shapes import MISSING, Field, MapOf, Number, OneOf, Record, Shape, Text
from diag.rulebook.special import BASES
from diag.support.yaml.reader import Map, Node

TINY = 1e-6
_SHARE = Number(TINY, 1 - TINY)
_SHARES = MapOf((), _SHARE, 2)

# Knob -> its shape, its meaning, and the value a tiny book gets when it does not say.
TABLE: dict[str, tuple[Shape, str, Any]] = {
    "none": (_SHARE, "Chance that nothing is wrong.", 0.05),
    "two_or_more": (_SHARE, "Wanted share of faulty jobs with more than one fault.", 0.08),
    "out_of_book": (_SHARE, "Chance that the cause is not in the book.", 0.02),
    "unsure_wrong": (_SHARE, "Chance that an answer marked unsure is wrong.", 0.15),
    "second_hand_wrong": (_SHARE, "Chance that an answer told by somebody else is wrong.", 0.1),
    "sure_wrong": (_SHARE, "Chance that a sure answer is wrong.", 0.02),
    "misread": (_SHARE, "Chance that a reading is misread.", 0.03),
    "setup_weight": (Number(0, 10), "Weight of set-up minutes when checks are compared.", 0.35),
    "commit_at": (_SHARE, "Chance of the leading cause at which repairing is weighed against checking.", 0.8),
    "borrow_minutes": (Number(0, 10_000), "Price of a tool that is not at hand.", 30.0),
    "hand_on_minutes": (Number(0, 100_000), "Price of handing the car on.", 240.0),
    "witness_slips": (_SHARES, "Level of whoever answers -> chance that a sure answer is wrong; best level first.", {}),
    "witness_levels": (MapOf((), _SHARES, 1), "Who answers -> share of each level.", {}),
    "witness_by_phone": (Number(0.1, 10), "Factor on the odds of all levels but the first, by phone.", 1.0),
    "witness_invents": (
        Number(TINY, 1),
        "Share of a slip's chance with which somebody says yes to what is not there.",
        1.0,
    ),
    "asked_again": (Number(TINY, 1), "What is left of a slip when the same question is put again.", 1.0),
    "between_bouts": (
        Number(0, 0.9),
        "Chance that a fault that comes and goes does not show at a look.",
        0.0,
    ),
    "in_between": (_SHARES, "Answer between yes and no -> how far it leans to yes.", {}),
    "strengths": (
        _SHARES,
        "Strength word -> chance.",
        {
            "almost always": 0.95,
            "usually": 0.8,
            "often": 0.65,
            "as likely as not": 0.5,
            "sometimes": 0.3,
            "rarely": 0.1,
            "hardly ever": 0.03,
        },
    ),
    "frequency_words": (
        _SHARES,
        "Frequency word -> share of single-fault jobs.",
        {"common": 0.03, "occasional": 0.01, "rare": 0.003, "very rare": 0.001},
    ),
}


def _fields(shape: Shape, about: str) -> tuple[Field, ...]:
    return (
        Field("is", shape, about, need=True),
        Field("basis", OneOf(BASES), "Where the figure comes from.", need=True),
        Field("why", Text(600), "One line: why this figure.", need=True),
    )


class KnobTable(Shape):
    """{knob: {is, basis, why}} -> {knob: {...}} of those that are there."""

    def read(self, node: Node, desk: Desk) -> Any:
        return Record(self._table()).read(node, desk)

    def schema(self) -> dict[str, Any]:
        return Record(self._table()).schema()

    def _table(self) -> tuple[Field, ...]:
        return tuple(Field(name, Record(_fields(shape, about)), about) for name, (shape, about, _) in TABLE.items())


def read_knobs(node: Map | None, desk: Desk, need_all: bool) -> Knobs:
    """The knobs; missing ones take their documented default, and are a problem where ``need_all``."""
    found: dict[str, Any] = {}
    if node is not None:
        values = KnobTable().read(node, desk)
        found = {} if values is MISSING else values
    if need_all:
        for name in TABLE:
            if node is None or name not in node.items:
                where = node.place if node is not None else None
                desk.problem("missing-field", where, f"The knob {name!r} is missing.", TABLE[name][1])
    plain = {name: found[name]["is"] if name in found else default for name, (_, _, default) in TABLE.items()}
    basis = {
        name: Basis(found[name]["basis"], found[name]["why"])
        if name in found
        else Basis("judgement", "the default of a book that does not say")
        for name in TABLE
    }
    frequencies = plain.pop("frequency_words")
    return Knobs(**plain, frequencies=frequencies, strengths_basis=basis["strengths"], basis=basis)
