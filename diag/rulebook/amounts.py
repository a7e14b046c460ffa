"""Physical amounts in the rule book: text with a unit -> SI, and comparisons such as ``target + 3 psi``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from diag.quantities import KINDS, parse
from diag.rulebook.desk import Desk, nearest
from diag.rulebook.findings import TARGET, Condition
from diag.rulebook.physics import ENGINE_KINDS, SETTING_KINDS, SETTINGS
from diag.rulebook.shapes import MISSING, Field, ListOf, Record, Ref, Shape, describe, plain_number
from diag.support.errors import Place, QuantityError
from diag.support.yaml.reader import Map, Node, Scalar, Seq

PLAIN = ""  # the kind of a factor
UNITLESS = frozenset({"count", "fraction", "percent", "ratio", PLAIN})
_BARE = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)")
_COMPARISON = re.compile(r"(?P<base>[a-z][a-z ]*?)\s*(?:(?P<sign>[+-])\s*(?P<amount>[0-9].*))?")


def to_si(text: str, kind: str, place: Place, desk: Desk) -> Any:
    """The SI value of ``text``; notes a problem when the unit is missing or wrong."""
    if kind in UNITLESS and _BARE.fullmatch(text):
        return float(text)
    if kind == PLAIN:
        desk.problem("bad-amount", place, f"{text!r} must be a plain number here.", "Leave the unit out.")
        return MISSING
    if kind not in KINDS:
        return MISSING  # the reading or parameter that should say the kind was refused where it stands
    if _BARE.fullmatch(text) and float(text) != 0.0:
        desk.problem("unit-missing", place, f"{text} has no unit.", f"Write the unit too; this is a {kind}.")
        return MISSING
    sign = -1.0 if text.startswith("-") else 1.0
    try:
        # The sign is taken off first, so that rules may speak of differences that no gauge could show.
        return sign * _absolute(text.lstrip("+-").strip(), kind)
    except QuantityError as error:
        desk.problem("bad-amount", place, error.what, error.hint)
        return MISSING


@lru_cache(maxsize=4096)
def _absolute(text: str, kind: str) -> float:
    if _BARE.fullmatch(text):
        return 0.0
    amount = parse(text, kind, "")
    if amount.bound or amount.low != amount.high:
        raise QuantityError(f"{text!r} is not one exact amount.", "Write one value with its unit.")
    return amount.value


@dataclass(frozen=True)
class AmountText(Shape):
    """An amount still as text; the builder converts it when it knows the kind of quantity."""

    needs = "an amount with its unit, such as 3 psi"

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Scalar) or not node.text.strip():
            return self.refuse(node, desk)
        return (" ".join(node.text.split()), node.place)

    def schema(self) -> dict[str, Any]:
        return {"type": ["string", "number"]}


@dataclass(frozen=True)
class AmountRange(Shape):
    """One amount or [low, high], as texts with places."""

    needs = "one amount or [low, high]"

    def read(self, node: Node, desk: Desk) -> Any:
        one = AmountText()
        if isinstance(node, Scalar):
            value = one.read(node, desk)
            return MISSING if value is MISSING else (value, value)
        if not isinstance(node, Seq) or len(node.items) != 2:
            return self.refuse(node, desk)
        low, high = (one.read(member, desk) for member in node.items)
        return MISSING if low is MISSING or high is MISSING else (low, high)

    def schema(self) -> dict[str, Any]:
        amount = AmountText().schema()
        return {"anyOf": [amount, {"type": "array", "items": amount, "minItems": 2, "maxItems": 2}]}


def range_to_si(pair: tuple[tuple[str, Place], tuple[str, Place]], kind: str, desk: Desk) -> Any:
    """(low, high) in SI; notes a problem when they stand the wrong way round."""
    low, high = (to_si(text, kind, place, desk) for text, place in pair)
    if low is MISSING or high is MISSING:
        return MISSING
    if low > high:
        desk.problem("bad-amount", pair[0][1], f"{pair[0][0]} is more than {pair[1][0]}.", "Write [low, high].")
        return MISSING
    return (low, high)


@dataclass(frozen=True)
class QuantityName(Shape):
    """A reading of the book, or one of a few names besides."""

    besides: tuple[str, ...]

    def read(self, node: Node, desk: Desk) -> Any:
        if isinstance(node, Scalar) and node.text in self.besides:
            return node.text
        return Ref(("readings",)).read(node, desk)

    def schema(self) -> dict[str, Any]:
        return Ref(("readings",)).schema()


_FELT = QuantityName(tuple(ENGINE_KINDS))  # how the engine runs is measured by nobody and felt by everybody
_COMPARED = QuantityName((TARGET,))
_CONDITION_FIELDS = (
    Field("reading", _FELT, "The quantity that is compared.", need=True),
    Field("at", Ref(("points",)), "The condition at which it is taken.", need=True),
    Field("above", AmountText(), "Lies above this: target + 1 psi, an amount, or a quantity + an amount."),
    Field("below", AmountText(), "Lies below this."),
    Field("less_at", Ref(("points",)), "What is compared is the difference to the same reading at this point."),
    Field("spread", AmountText(), "Standard deviation of where people draw the line; 0 draws it sharp."),
    Field("larger", _COMPARED, "This quantity, or target, must besides be larger than the one under 'than'."),
    Field("than", _COMPARED, "See 'larger'."),
)


@dataclass(frozen=True)
class Comparison(Shape):
    """A condition on a predicted quantity; extra fields (told_right) come back beside it."""

    extra: tuple[Field, ...] = ()

    def read(self, node: Node, desk: Desk) -> Any:
        values = Record((*_CONDITION_FIELDS, *self.extra)).read(node, desk)
        if values is MISSING:
            return MISSING
        condition = _condition(values, node, desk)
        if condition is MISSING:
            return MISSING
        return {"condition": condition, **{f.name: values[f.name] for f in self.extra if f.name in values}}

    def schema(self) -> dict[str, Any]:
        schema = Record((*_CONDITION_FIELDS, *self.extra)).schema()
        schema["oneOf"] = [{"required": ["above"]}, {"required": ["below"]}]
        return schema


def _condition(values: dict[str, Any], node: Node, desk: Desk) -> Any:
    """The fields of a comparison as a Condition."""
    sides = [side for side in ("above", "below") if side in values]
    if len(sides) != 1:
        desk.problem("schema", node.place, "A comparison needs exactly one of 'above' and 'below'.")
        return MISSING
    if ("larger" in values) != ("than" in values):
        desk.problem("schema", node.place, "'larger' and 'than' belong together.", "Add the other one.")
        return MISSING
    name = values["reading"]
    kind = desk.quantity_of.get(name) or ENGINE_KINDS.get(name, "")
    text, place = values[sides[0]]
    base = _base_and_offset(text, place, kind, desk)
    spread = to_si(values["spread"][0], kind, values["spread"][1], desk) if "spread" in values else 0.0
    if base is MISSING or spread is MISSING:
        return MISSING
    return Condition(
        reading=values["reading"],
        point=values["at"],
        side="above" if sides[0] == "above" else "below",
        base=base[0],
        offset=base[1],
        larger=values.get("larger", ""),
        than=values.get("than", ""),
        less_point=values.get("less_at", ""),
        spread=abs(spread),
    )


@dataclass(frozen=True)
class Sighting(Shape):
    """When the physics says that a sign is there: one comparison, or several under 'all' or 'any'."""

    extra: tuple[Field, ...] = ()

    def read(self, node: Node, desk: Desk) -> Any:
        joined = [word for word in ("all", "any") if isinstance(node, Map) and word in node.items]
        if not joined:
            return Comparison(self.extra).read(node, desk)
        if len(joined) > 1:
            desk.problem("schema", node.place, "Write 'all' or 'any', not both.")
            return MISSING
        values = Record((self._several(joined[0]), *self.extra)).read(node, desk)
        if values is MISSING or not values[joined[0]]:
            return MISSING
        conditions = [one["condition"] for one in values[joined[0]]]
        extra = {f.name: values[f.name] for f in self.extra if f.name in values}
        return {"condition": conditions[0], "seen_also": tuple(conditions[1:]), "joined": joined[0], **extra}

    def _several(self, word: str) -> Field:
        return Field(word, ListOf(Comparison(), 2), f"Comparisons of which {word} must hold.", need=True)

    def schema(self) -> dict[str, Any]:
        several = [Record((self._several(word), *self.extra)).schema() for word in ("all", "any")]
        return {"anyOf": [Comparison(self.extra).schema(), *several]}


def _base_and_offset(text: str, place: Place, kind: str, desk: Desk) -> Any:
    """("target" | "zero" | quantity name, offset in SI) of "target + 3 psi", "40 psi" or "battery volts - 0.5 V"."""
    match = _COMPARISON.fullmatch(text)
    if match is None:
        offset = to_si(text, kind, place, desk)
        return MISSING if offset is MISSING else ("zero", offset)
    base = match["base"]
    if base not in (TARGET, "zero") and not desk.knows(("readings",), base):
        known = [TARGET, *desk.names.get("readings", {})]
        hint = nearest(base, known) or "Write target, an amount or the name of a reading."
        desk.problem("unknown-name", place, f"There is nothing called {base!r} to compare with.", hint)
        return MISSING
    if match["amount"] is None:
        return (base, 0.0)
    offset = to_si(match["amount"], kind, place, desk)
    if offset is MISSING:
        return MISSING
    return (base, -offset if match["sign"] == "-" else offset)


@dataclass(frozen=True)
class Settings(Shape):
    """What a point sets in the fuel-system model: words, plain numbers, or amounts with units -> SI floats."""

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Map):
            return self.refuse(node, desk, "a mapping of settings")
        found: dict[str, str | float] = {}
        for key, member in node.items.items():
            place = node.places.get(key, node.place)
            if key not in SETTINGS:
                desk.problem("unknown-name", place, f"There is no setting called {key!r}.", nearest(key, SETTINGS))
                continue
            value = self._value(key, member, SETTINGS[key], desk)
            if value is not MISSING:
                found[key] = value
        return found

    def _value(self, key: str, node: Node, allowed: tuple[str, ...], desk: Desk) -> Any:
        if not isinstance(node, Scalar):
            return self.refuse(node, desk, "one setting")
        if key == "minutes":
            number = plain_number(node)
            return self.refuse(node, desk, "a number of minutes") if number is None or number < 0 else number
        if key in SETTING_KINDS:
            return to_si(" ".join(node.text.split()), SETTING_KINDS[key], node.place, desk)
        if node.text in allowed:
            return node.text
        what = f"{key!r} can be {', '.join(allowed)}, not {describe(node)}."
        desk.problem("unknown-name", node.place, what, nearest(node.text, allowed))
        return MISSING

    def schema(self) -> dict[str, Any]:
        amount: dict[str, Any] = {"type": ["string", "number"]}
        number: dict[str, Any] = {"type": "number", "minimum": 0}
        properties = {
            key: number if key == "minutes" else amount if key in SETTING_KINDS else {"enum": list(words)}
            for key, words in SETTINGS.items()
        }
        return {"type": "object", "properties": properties, "additionalProperties": False}
