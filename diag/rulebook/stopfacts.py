"""The facts that stop rules listen to, and what lifts them, as written in the rule book."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from diag.rulebook.desk import Desk, nearest
from diag.rulebook.physics import PARAMETERS
from diag.rulebook.shapes import MISSING, Shape
from diag.rulebook.steps import PERSONS
from diag.support.yaml.reader import Node, Scalar

WETNESS = ("unknown", "dry", "wet", "repaired")
FUELS = ("petrol", "E10", "E85", "ethanol", "methanol")
LIMIT = re.compile(r"(?P<reading>.+?)(?: at (?P<point>[a-z0-9-]+))? (?P<side>above|below) (?P<amount>.+)")
RENEWS = "new:"  # begins the name of a parameter in "lifted_by"
_WORDS: Mapping[str, tuple[str, ...]] = {
    "wet": WETNESS,
    "person": PERSONS,
    "fuel": FUELS,
    "boost": ("yes", "possible"),
    "base": ("far",),
}


def _sign(rest: str, node: Node, desk: Desk) -> bool:
    name, _, answer = (part.strip() for part in rest.partition("="))
    if not desk.check_name(("signs",), name, node.place):
        return False
    if answer and answer not in desk.choices.get(name, ()):
        desk.problem("unknown-name", node.place, f"{name!r} has no answer {answer!r}.")
        return False
    return True


def _untold(rest: str, node: Node, desk: Desk) -> bool:
    return desk.check_name(("signs",), rest, node.place)


def _likely(rest: str, node: Node, desk: Desk) -> bool:
    known = [desk.check_name(("causes",), name.strip(), node.place) for name in rest.split(",")]
    return all(known)


def _reading(rest: str, node: Node, desk: Desk) -> bool:
    match = LIMIT.fullmatch(rest)
    if match is None:
        what = 'This must be "reading:NAME above AMOUNT" or "reading:NAME at POINT above AMOUNT".'
        desk.problem("schema", node.place, what)
        return False
    if not desk.check_name(("readings",), match["reading"], node.place):
        return False
    return match["point"] is None or desk.check_name(("points",), match["point"], node.place)


_CHECKED: Mapping[str, Callable[[str, Node, Desk], bool]] = {
    "sign": _sign,
    "untold": _untold,
    "likely": _likely,
    "reading": _reading,
}


@dataclass(frozen=True)
class StopFact(Shape):
    """One fact of a stop rule; ``diag.rulebook.hazards.StopRule`` lists the kinds."""

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Scalar) or ":" not in node.text:
            return self.refuse(node, desk, 'a fact such as "sign:fuel-at-cap" or "wet:wet"')
        kind, _, rest = (part.strip() for part in node.text.partition(":"))
        if kind in _CHECKED:
            return f"{kind}:{rest}" if _CHECKED[kind](rest, node, desk) else MISSING
        if kind not in _WORDS:
            hint = nearest(kind, (*_CHECKED, *_WORDS))
            desk.problem("unknown-name", node.place, f"There is no kind of fact called {kind!r}.", hint)
            return MISSING
        if rest not in _WORDS[kind]:
            hint = nearest(rest, _WORDS[kind]) or f"Possible: {', '.join(_WORDS[kind])}."
            desk.problem("unknown-name", node.place, f"{kind!r} cannot be {rest!r}.", hint)
            return MISSING
        return f"{kind}:{rest}"

    def schema(self) -> dict[str, Any]:
        kinds = "|".join((*_CHECKED, *_WORDS))
        return {"type": "string", "pattern": f"^({kinds}): ?.+$"}


@dataclass(frozen=True)
class Lifter(Shape):
    """What lifts a stop rule: the name of a step, or "new: PARAMETER" for every step that renews it."""

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Scalar):
            return self.refuse(node, desk, 'a step, or "new: PARAMETER"')
        if node.text.startswith(RENEWS):
            name = node.text.removeprefix(RENEWS).strip()
            if PARAMETERS and name not in PARAMETERS:
                what = f"The fuel system has no parameter called {name!r}."
                desk.problem("unknown-parameter", node.place, what, nearest(name, PARAMETERS))
                return MISSING
            return f"{RENEWS} {name}"
        return (
            node.text
            if desk.check_name(("checks", "setups", "remedies", "actions"), node.text, node.place)
            else MISSING
        )

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1}
