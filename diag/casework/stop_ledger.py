"""What was seen and read that a stop rule listens to, kept until what the rule names has lifted it. Pure.

A rule with ``lifted_by`` holds on to what raised it: a later dry look, a lower reading or any other step that was done
meanwhile changes nothing, since a hose that is dry with the pump off says nothing about the diaphragm behind it. Rules
without it follow the latest answer. Whatever the rule, an answer that is not sure and first-hand may raise a fact and
never clears one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from diag.quantities import parse
from diag.rulebook.findings import ABSENT, BOTH
from diag.rulebook.hazards import StopRule
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Action, Remedy, Step
from diag.rulebook.stopfacts import LIMIT, RENEWS

DRY_WORDS = frozenset({ABSENT, "dry", "none", "no"})
_LISTENED = ("sign", "reading", "untold")  # the other kinds of fact are no entries of a case


@dataclass
class _Memory:
    """What one rule knows: latest answer to each sign, lowest and highest of each reading since it was last lifted."""

    signs: dict[str, str] = field(default_factory=dict)
    read: dict[tuple[str, str], tuple[float, float]] = field(default_factory=dict)
    raised: bool = False
    repaired: bool = False


class StopLedger:
    """Follows one case and says which facts of the book's stop rules hold."""

    def __init__(self, book: RuleBook) -> None:
        self._book = book
        self._memories = {rule.id: _Memory() for rule in book.stops.values()}
        self._named = {name for rule in book.stops.values() for name in (*rule.lifted_by, *rule.proven_by)}
        self._heard: dict[str, list[StopRule]] = {}  # sign -> the rules that listen to it
        for rule in book.stops.values():
            for fact in rule.when:
                head, _, tail = fact.partition(":")
                if head in ("sign", "untold"):
                    self._heard.setdefault(tail.partition("=")[0].strip(), []).append(rule)

    def answered(self, sign: str, answer: str, certain: bool) -> None:
        """A sign was answered; "not known" is no answer and never comes here. ``certain``: sure and first-hand."""
        for rule in self._heard.get(sign, ()):
            memory = self._memories[rule.id]
            if not any(_says(fact, sign, answer) for fact in rule.when):
                stays = memory.raised and rule.lifted_by and not memory.repaired
                if stays or not certain:
                    continue  # dry or gone by itself is not repaired, and a doubtful no clears nothing
            memory.signs[sign] = answer
            self._judge(rule, memory)

    def read(self, reading: str, point: str, low: float, high: float, bound: str, certain: bool) -> None:
        """A reading, SI; of "80 to 95" the end that is worse counts, and "over 80" has no upper end."""
        low, high = (-math.inf if bound == "below" else low), (math.inf if bound == "above" else high)
        for rule, memory in self._each():
            if memory.raised and rule.lifted_by:
                continue
            least, most = (low, high) if certain else memory.read.get((reading, point), (low, high))
            memory.read[(reading, point)] = min(low, least), max(high, most)
            self._judge(rule, memory)

    def did(self, step: Step) -> None:
        """A step was done: it lifts the rules that name it."""
        changes = isinstance(step, Remedy | Action)
        if not changes and step.id not in self._named:
            return
        for rule, memory in self._each():
            if lifts(rule, step):
                if (rule.asked_again or rule.proven_by) and memory.raised:
                    memory.repaired = True
                else:
                    self._memories[rule.id] = _Memory()
            elif step.id in rule.proven_by and memory.repaired:
                self._memories[rule.id] = _Memory()
            elif changes and not memory.raised:
                memory.read.clear()  # the car is another one now

    def facts(self) -> frozenset[str]:
        """The facts that hold, as the rules write them."""
        found: set[str] = set()
        for rule, memory in self._each():
            listened = [f for f in rule.when if f.partition(":")[0] in _LISTENED]
            found.update(f for f in listened if memory.raised or self._holds(memory, f))
        return frozenset(found)

    def _each(self) -> list[tuple[StopRule, _Memory]]:
        return [(rule, self._memories[rule.id]) for rule in self._book.stops.values()]

    def _judge(self, rule: StopRule, memory: _Memory) -> None:
        """Whether everything seen and read that the rule listens to holds now."""
        listened = [f for f in rule.when if f.partition(":")[0] in ("sign", "reading")]
        holds = bool(listened) and all(self._holds(memory, f) for f in listened)
        if rule.lifted_by:
            memory.raised = holds
            memory.repaired = memory.repaired and holds

    def _holds(self, memory: _Memory, fact: str) -> bool:
        head, _, tail = (part.strip() for part in fact.partition(":"))
        if head == "untold":
            return tail not in memory.signs
        if head == "sign":
            name = tail.partition("=")[0].strip()
            return name in memory.signs and _says(fact, name, memory.signs[name])
        return head == "reading" and self._beyond(memory, tail)

    def _beyond(self, memory: _Memory, limit: str) -> bool:
        parts = LIMIT.fullmatch(limit)
        kind = self._book.readings.get(parts["reading"]) if parts else None
        if parts is None or kind is None:
            return False
        bound = _amount(parts["amount"].strip(), kind.quantity)
        for (reading, point), (low, high) in memory.read.items():
            asked = point == parts["point"] if parts["point"] else not self._provoked(point)
            if reading == kind.id and asked and (high > bound if parts["side"] == "above" else low < bound):
                return True
        return False

    def _provoked(self, point: str) -> bool:
        """Whether the reading was driven up on purpose, so that it says nothing about the car left to itself."""
        settings: Mapping[str, str | float] = self._book.points[point].settings if point in self._book.points else {}
        air = settings.get("reference", 0.0)
        return settings.get("return") == "pinched" or settings.get("screw") == "in" or (
            isinstance(air, float) and air > 0.0
        )  # fmt: skip


def _says(fact: str, sign: str, answer: str) -> bool:
    """Whether this answer to this sign makes the fact of a rule true; of two choices told together either does."""
    head, _, tail = fact.partition(":")
    name, _, wanted = (part.strip() for part in tail.partition("="))
    if head != "sign" or name != sign:
        return False
    return wanted in answer.split(BOTH) if wanted else answer not in DRY_WORDS


@cache
def _amount(text: str, quantity: str) -> float:
    """An amount of a stop rule, SI."""
    return parse(text, quantity).value


def lifts(rule: StopRule, step: Step) -> bool:
    """Whether this step is one that the rule names."""
    if step.id in rule.lifted_by:
        return True
    renewed = step.redraws if isinstance(step, Remedy | Action) else ()
    return any(name.startswith(RENEWS) and name.removeprefix(RENEWS).strip() in renewed for name in rule.lifted_by)
