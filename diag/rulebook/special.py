"""The shapes that only the rule book has: frequencies, effects, choice answers, yields, stop facts, knobs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from diag.rulebook.amounts import PLAIN, AmountRange, Sighting, range_to_si
from diag.rulebook.basis import Basis
from diag.rulebook.carfacts import car_fact
from diag.rulebook.causes import Effect, Frequency
from diag.rulebook.desk import Desk, nearest
from diag.rulebook.physics import PARAMETERS
from diag.rulebook.shapes import (
    MISSING,
    Chance,
    Field,
    Flag,
    ListOf,
    MapOf,
    OneOf,
    Record,
    Ref,
    Shape,
    Text,
    _probability,
)
from diag.rulebook.steps import PassFigure, Yield
from diag.support.errors import UserError
from diag.support.yaml.reader import Map, Node, Scalar

BASES = ("source", "computed", "judgement", "common practice, no source")
HOWS = ("times", "add", "set")


@dataclass(frozen=True)
class Share(Shape):
    """A share of single-fault jobs: a frequency word or a number strictly between 0 and 1."""

    def read(self, node: Node, desk: Desk) -> Any:
        value = _probability(node, desk, desk.frequencies, "frequency")
        if value is MISSING:
            return MISSING
        return (value, node.text if isinstance(node, Scalar) and node.text in desk.frequencies else "")

    def schema(self) -> dict[str, Any]:
        return {"$ref": "#/definitions/share"}


_BASIS_FIELD = Field("basis", OneOf(BASES), "Where the figure comes from.", need=True)
_FREQUENCY_FIELDS = (
    Field("share", Share(), "Share among jobs with one fault: a frequency word or a number.", need=True),
    replace(_BASIS_FIELD, shared=True),
    Field("why", Text(300), "One line: why this figure.", need=True),
)


@dataclass(frozen=True)
class HowOften(Shape):
    """{share, basis, why} -> Frequency."""

    def read(self, node: Node, desk: Desk) -> Any:
        values = Record(_FREQUENCY_FIELDS).read(node, desk)
        if values is MISSING:
            return MISSING
        share, words = values["share"]
        return Frequency(share, words, Basis(values["basis"], values["why"]))

    def schema(self) -> dict[str, Any]:
        return Record(_FREQUENCY_FIELDS).schema()


_PASS_FIELDS = (
    Field("is", Text(160), "What a sound car shows, in words with its figure.", need=True),
    _BASIS_FIELD,
    Field("why", Text(300), "One line: why this figure.", need=True),
)


@dataclass(frozen=True)
class Passing(Shape):
    """{is, basis, why} -> PassFigure."""

    def read(self, node: Node, desk: Desk) -> Any:
        values = Record(_PASS_FIELDS).read(node, desk)
        return MISSING if values is MISSING else PassFigure(values["is"], Basis(values["basis"], values["why"]))

    def schema(self) -> dict[str, Any]:
        return Record(_PASS_FIELDS).schema()


@dataclass(frozen=True)
class Effects(Shape):
    """{parameter: {times|add|set: amount or [low, high]}} -> tuple of Effect."""

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Map) or not node.items:
            return self.refuse(node, desk, "a mapping, such as {pump flow factor: {times: [0.5, 0.8]}}")
        found = []
        for name, child in node.items.items():
            place = node.places.get(name, node.place)
            if name not in PARAMETERS:
                what = f"The fuel system has no parameter called {name!r}."
                desk.problem("unknown-parameter", place, what, nearest(name, PARAMETERS))
                continue
            effect = self._effect(name, child, desk)
            if effect is not MISSING:
                found.append(effect)
        return tuple(found)

    def _effect(self, name: str, node: Node, desk: Desk) -> Any:
        fields = tuple(Field(how, AmountRange(), "One value or [low, high].") for how in HOWS)
        values = Record(fields).read(node, desk)
        if values is MISSING:
            return MISSING
        if len(values) != 1:
            desk.problem("schema", node.place, "Say exactly one of times, add and set.")
            return MISSING
        how, pair = next(iter(values.items()))
        amounts = range_to_si(pair, PLAIN if how == "times" else PARAMETERS[name], desk)
        return MISSING if amounts is MISSING else Effect(name, how, *amounts)

    def schema(self) -> dict[str, Any]:
        effect = Record(tuple(Field(how, AmountRange(), "One value or [low, high].") for how in HOWS)).schema()
        effect |= {"minProperties": 1, "maxProperties": 1}
        names = {"enum": sorted(PARAMETERS)} if PARAMETERS else {}
        return {"type": "object", "propertyNames": names, "additionalProperties": effect, "minProperties": 1}


@dataclass(frozen=True)
class ActsOn(Shape):
    """What a cause acts on: parameters, the name of an effect, or a list of both (names are replaced before)."""

    def read(self, node: Node, desk: Desk) -> Any:
        return Effects().read(node, desk)

    def schema(self) -> dict[str, Any]:
        one: list[dict[str, Any]] = [Effects().schema(), {"type": "string", "minLength": 1}]
        return {"anyOf": [*one, {"type": "array", "items": {"anyOf": one}, "minItems": 1}]}


@dataclass(frozen=True)
class ShowMap(Shape):
    """sign or state -> chance. Choice signs belong under 'answers', signs the physics sees belong nowhere."""

    def read(self, node: Node, desk: Desk) -> Any:
        found = MapOf(("signs", "states"), Chance()).read(node, desk)
        if found is MISSING:
            return MISSING
        assert isinstance(node, Map)
        for name in list(found):
            place = node.places.get(name, node.place)
            if name in desk.choices:
                hint = f"Write it under 'answers', such as {{{name}: {{{desk.choices[name][0]}: 0.6}}}}."
                desk.problem("wrong-kind", place, f"{name!r} is a sign with choices.", hint)
            elif name in desk.seen_by_physics:
                hint = "Take it out; the fuel-system model decides whether it is seen."
                desk.problem("wrong-kind", place, f"{name!r} is decided by the physics.", hint)
            else:
                continue
            del found[name]
        return found

    def schema(self) -> dict[str, Any]:
        return MapOf((), Chance()).schema()


@dataclass(frozen=True)
class Answers(Shape):
    """{choice sign: {answer: chance}} as written; the loader spreads the rest over the other answers."""

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Map):
            return self.refuse(node, desk, "a mapping, such as {needle: {trembling: 0.6}}")
        found: dict[str, Any] = {}
        for sign, row in node.items.items():
            place = node.places.get(sign, node.place)
            if not desk.check_name(("signs",), sign, place):
                continue
            if sign not in desk.choices:
                desk.problem("wrong-kind", place, f"{sign!r} has no choices.", "Write it under 'shows'.")
                continue
            values = self._row(sign, row, desk)
            if values is not MISSING:
                found[sign] = values
        return found

    def _row(self, sign: str, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Map) or not node.items:
            return self.refuse(node, desk, "a mapping from answers to chances")
        possible = desk.choices[sign]
        row: dict[str, float] = {}
        for answer, child in node.items.items():
            if answer not in possible:
                hint = nearest(answer, possible) or f"Possible: {', '.join(possible)}."
                place = node.places.get(answer, node.place)
                desk.problem("unknown-name", place, f"{sign!r} has no answer {answer!r}.", hint)
                continue
            if answer in desk.graded.get(sign, ()):
                place = node.places.get(answer, node.place)
                hint = "Take it out; the fuel-system model decides whether it is answered."
                desk.problem("wrong-kind", place, f"{answer!r} of {sign!r} is decided by the physics.", hint)
                continue
            chance = Chance().read(child, desk)
            if chance is not MISSING:
                row[answer] = chance
        total = sum(row.values())
        full = len(row) == len(possible)
        if full and abs(total - 1.0) > 0.01:
            desk.problem("sum", node.place, f"These chances add up to {total:g}.", "They must add up to 1.")
            return MISSING
        if not full and total > 0.995:
            hint = "Leave at least 0.005 for the answers that are not named."
            desk.problem("sum", node.place, f"These chances add up to {total:g}.", hint)
            return MISSING
        return row

    def schema(self) -> dict[str, Any]:
        return MapOf((), MapOf((), Chance(), 1)).schema()


_CHOICE_FIELDS = (
    Field("words", Text(120), "The answer as a person would say it.", need=True),
    Field("usual", Chance(), "Chance of this answer when no cause of the book speaks.", need=True),
    Field("phrases", ListOf(Text(80)), "Everyday words that mean this answer."),
    Field("seen_when", Sighting(), "Conditions on predicted quantities: the physics decides, so no cause may list it."),
    Field("otherwise", Flag(), "Whether it is the answer when no condition of the others holds."),
)


@dataclass(frozen=True)
class Choices(Shape):
    """{answer: {words, usual, ...}} -> fields of every answer; the usual chances add up to 1.

    Where the physics decides answers, one of them says what is given otherwise.
    """

    def read(self, node: Node, desk: Desk) -> Any:
        found = MapOf((), Record(_CHOICE_FIELDS), 2).read(node, desk)
        if found is MISSING:
            return MISSING
        if isinstance(node, Map) and len(found) < len(node.items):
            return MISSING  # a bad answer was reported; its share would only confuse the sum
        total = sum(row["usual"] for row in found.values())
        if abs(total - 1.0) > 0.01:
            hint = "The chances under 'usual' must add up to 1."
            desk.problem("sum", node.place, f"The usual chances add up to {total:g}.", hint)
            return MISSING
        decided = sum("seen_when" in row for row in found.values())
        if sum(bool(row.get("otherwise")) for row in found.values()) != bool(decided):
            hint = "Where answers have 'seen_when', one other answer has 'otherwise: yes'; elsewhere none has."
            desk.problem("schema", node.place, "It is not clear what is answered when no condition holds.", hint)
            return MISSING
        return {answer: _answer(row, total) for answer, row in found.items()}

    def schema(self) -> dict[str, Any]:
        return MapOf((), Record(_CHOICE_FIELDS), 2).schema()


def _answer(row: Mapping[str, Any], total: float) -> dict[str, Any]:
    seen = row.get("seen_when", {})
    conditions = (seen["condition"], *seen.get("seen_also", ())) if seen else ()
    return {
        "words": row["words"],
        "usual": row["usual"] / total,
        "phrases": tuple(row.get("phrases") or ()),
        "conditions": conditions,
        "joined": seen.get("joined", "all"),
        "otherwise": bool(row.get("otherwise")),
    }


_YIELD_FIELDS = (
    Field("sign", Ref(("signs",)), "The sign this check answers."),
    Field("reading", Ref(("readings",)), "The reading this check takes."),
    Field("at", Ref(("points",)), "The condition at which the reading is taken."),
)


@dataclass(frozen=True)
class YieldShape(Shape):
    """{sign: X} or {reading: X, at: Y} -> Yield."""

    def read(self, node: Node, desk: Desk) -> Any:
        values = Record(_YIELD_FIELDS).read(node, desk)
        if values is MISSING:
            return MISSING
        if set(values) not in ({"sign"}, {"reading", "at"}):
            if isinstance(node, Map) and set(node.items) in ({"sign"}, {"reading", "at"}):
                return MISSING  # an unknown name, already reported
            desk.problem("schema", node.place, "A yield is {sign: ...} or {reading: ..., at: ...}.")
            return MISSING
        return Yield(**values)

    def schema(self) -> dict[str, Any]:
        schema = Record(_YIELD_FIELDS).schema()
        schema["oneOf"] = [{"required": ["sign"]}, {"required": ["reading", "at"]}]
        return schema


@dataclass(frozen=True)
class Need(Shape):
    """The name of something in these sections, or "not" and the name."""

    sections: tuple[str, ...]

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Scalar):
            return self.refuse(node, desk, 'a name, or "not" and a name')
        name = node.text.removeprefix("not ").strip()
        return node.text if desk.check_name(self.sections, name, node.place) else MISSING

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1}


@dataclass(frozen=True)
class Measurement(Shape):
    """A figure that was taken: "READING", "READING at POINT", or the name of a check."""

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Scalar):
            return self.refuse(node, desk, 'a reading, "READING at POINT", or a check')
        reading, at, point = (part.strip() for part in node.text.partition(" at "))
        known = desk.check_name(("readings", "checks"), reading, node.place)
        return node.text if known and (not at or desk.check_name(("points",), point, node.place)) else MISSING

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1}


@dataclass(frozen=True)
class WhenCar(Shape):
    """A fact derived from the car: "fuel: E85, methanol" or "altitude: over 1500 m"."""

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Scalar) or ":" not in node.text:
            return self.refuse(node, desk, 'a car field with its values, such as "fuel: E85, ethanol"')
        try:
            car_fact(node.text)
        except UserError as error:
            desk.problem("unknown-name", node.place, error.what, error.hint)
            return MISSING
        return node.text

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": "^[a-z-]+: .+$"}
