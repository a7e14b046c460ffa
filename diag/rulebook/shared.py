"""What entries share, said once in a book and put into each entry before it is read.

Three lists, each at most once in a book:

- ``usual``: section -> the values of an entry that does not say; ``steps`` stands for all four kinds of step.
- ``acts``: act -> the acts that come ``with`` it, and the set-ups it ``undoes`` where the step does not say.
- ``effects``: name -> what it does to parameters of the fuel system; ``acts_on`` of a cause may name one or several.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from diag.rulebook.desk import Desk, nearest
from diag.rulebook.shapes import Field, ListOf, OneOf, Record, Ref
from diag.rulebook.special import Effects
from diag.rulebook.steps import ACTS
from diag.rulebook.tables import SECTIONS, STEP_SECTIONS
from diag.support.errors import Place
from diag.support.yaml.reader import Map, Node, Scalar, Seq

STEPS = "steps"
NEVER_USUAL = ("does", "formerly")
"""What every entry says for itself: what a step does is what the wall reads, and nobody may forget it."""

ACT_FIELDS = (
    Field("with", ListOf(OneOf(ACTS), 1), "Acts that come with it, whether a step names them or not."),
    Field("undoes", ListOf(Ref(("setups",)), 1), "Set-ups no longer in place after it, where the step does not say."),
)


@dataclass(frozen=True)
class Shared:
    """The three lists as nodes; empty where a book has none."""

    usual: Mapping[str, Map] = field(default_factory=dict)  # section -> field -> node
    comes_with: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    undone: Mapping[str, Mapping[str, Node]] = field(default_factory=dict)  # act -> set-up -> its node
    effects: Mapping[str, Map] = field(default_factory=dict)

    def usual_of(self, section: str, node: Map) -> dict[str, Node]:
        """What an entry has of each field that it need not say: usual values, and what its acts undo."""
        found = dict(self.usual[section].items) if section in self.usual else {}
        if section in STEP_SECTIONS:
            setups = {name: made for act in self.acts_of(node) for name, made in self.undone.get(act, {}).items()}
            if setups:
                found["undoes"] = Seq(list(setups.values()), node.place)
        return found

    def acts_of(self, node: Map) -> list[str]:
        """What a step does, with all that comes with it, in the order of the acts."""
        does = node.items.get("does")
        said = {m.text for m in does.items if isinstance(m, Scalar)} if isinstance(does, Seq) else set()
        said |= {other for act in said for other in self.all_with(act)}
        return [act for act in ACTS if act in said]

    def all_with(self, act: str) -> set[str]:
        """The acts that come with an act, and with those in turn."""
        found: set[str] = set()
        waiting = [act]
        while waiting:
            more = set(self.comes_with.get(waiting.pop(), ())) - found
            found |= more
            waiting += more
        return found - {act}

    def filled(self, section: str, node: Map, desk: Desk) -> Map:
        """The entry as it is read: with what it need not say."""
        items = _merged(node.items, self.usual_of(section, node))
        if section in STEP_SECTIONS:
            self._add_acts(node, items)
        elif section == "causes" and "acts_on" in items:
            items["acts_on"] = self._effect(items["acts_on"], desk)
        return Map(items, node.place, node.places)

    def _add_acts(self, node: Map, items: dict[str, Node]) -> None:
        does = node.items.get("does")
        if isinstance(does, Seq):
            said = {m.text for m in does.items if isinstance(m, Scalar)}
            more: list[Node] = [Scalar(act, False, does.place) for act in self.acts_of(node) if act not in said]
            if more:
                order: dict[str, int] = {act: at for at, act in enumerate(ACTS)}
                members = [*does.items, *more]
                members.sort(key=lambda m: order.get(m.text, -1) if isinstance(m, Scalar) else -1)
                items["does"] = Seq(members, does.place)

    def _effect(self, node: Node, desk: Desk) -> Node:
        """Names of effects replaced by what they do; what is no name stays for its own shape to judge."""
        parts = node.items if isinstance(node, Seq) else [node]
        if not any(isinstance(part, Scalar) for part in parts) and not isinstance(node, Seq):
            return node
        items: dict[str, Node] = {}
        places: dict[str, Place] = {}
        for part in parts:
            if isinstance(part, Scalar):
                if part.text not in self.effects:
                    hint = nearest(part.text, self.effects) or "Named effects stand under 'effects'."
                    desk.problem("unknown-name", part.place, f"There is no effect called {part.text!r}.", hint)
                    continue
                part = self.effects[part.text]
            if isinstance(part, Map):
                for name in part.items:
                    if name in items:
                        desk.problem("repeated", part.place, f"{name!r} is acted on twice here.", "Take one out.")
                items |= part.items
                places |= part.places
        return Map(items, node.place, places)


def _merged(own: Mapping[str, Node], usual: Mapping[str, Node]) -> dict[str, Node]:
    """The entry's own values before the usual ones, also inside a mapping that both have."""
    items = dict(own)
    for name, value in usual.items():
        here = items.get(name)
        if here is None:
            items[name] = value
        elif isinstance(here, Map) and isinstance(value, Map):
            items[name] = Map(_merged(here.items, value.items), here.place, here.places)
    return items


def read_shared(found: Mapping[str, list[Map]], desk: Desk) -> Shared:
    """The lists of a book. The names of set-ups must be known to the desk already."""
    for name, nodes in found.items():
        for again in nodes[1:]:
            desk.problem(
                "repeated", again.place, f"There are two lists of {name}.", f"The first is at {nodes[0].place}."
            )
    first = {name: nodes[0] for name, nodes in found.items() if nodes}
    comes_with, undone = _acts(first.get("acts"), desk)
    return Shared(_usual(first.get("usual"), desk), comes_with, undone, _effects(first.get("effects"), desk))


def _usual(node: Map | None, desk: Desk) -> dict[str, Map]:
    found: dict[str, Map] = {}
    for section, values in (node.items if node else {}).items():
        place = node.places.get(section, node.place) if node else None
        if section not in (*SECTIONS, STEPS):
            desk.problem("unknown-name", place, f"There is no list called {section!r}.", nearest(section, SECTIONS))
            continue
        if not isinstance(values, Map):
            desk.problem("schema", values.place, "What is usual is a mapping from fields to values.")
            continue
        for field_name in _not_usual(section, values):
            where = values.places.get(field_name, values.place)
            what = f"{field_name!r} cannot be usual in {section}."
            desk.problem("unknown-field", where, what, "Name a field that an entry of that list may have.")
        found[section] = values
    steps = found.pop(STEPS, None)
    for section in STEP_SECTIONS if steps else ():
        own = found.get(section)
        assert steps is not None
        items = _merged(own.items, steps.items) if own else dict(steps.items)
        known = {f.name for f in SECTIONS[section][1]}
        found[section] = Map({name: value for name, value in items.items() if name in known}, steps.place)
    return found


def _not_usual(section: str, values: Map) -> list[str]:
    sections = STEP_SECTIONS if section == STEPS else (section,)
    known = {f.name for s in sections for f in SECTIONS[s][1]} - {SECTIONS[s][0] for s in sections}
    return [name for name in values.items if name not in known or name in NEVER_USUAL]


def _acts(node: Map | None, desk: Desk) -> tuple[dict[str, tuple[str, ...]], dict[str, dict[str, Node]]]:
    comes_with: dict[str, tuple[str, ...]] = {}
    undone: dict[str, dict[str, Node]] = {}
    for act, values in (node.items if node else {}).items():
        if act not in ACTS:
            desk.problem("unknown-name", values.place, f"There is no act called {act!r}.", nearest(act, ACTS))
            continue
        read = Record(ACT_FIELDS).read(values, desk)
        if not isinstance(read, dict) or not isinstance(values, Map):
            continue
        comes_with[act] = read.get("with", ())
        setups = values.items.get("undoes")
        members = setups.items if isinstance(setups, Seq) else []
        undone[act] = {m.text: m for m in members if isinstance(m, Scalar)}
    return comes_with, undone


def _effects(node: Map | None, desk: Desk) -> dict[str, Map]:
    found: dict[str, Map] = {}
    for name, values in (node.items if node else {}).items():
        if isinstance(values, Map):
            found[name] = values
        else:
            Effects().refuse(values, desk, "a mapping, such as {pump flow factor: {times: [0.5, 0.8]}}")
    return found


def shared_schema() -> dict[str, Any]:
    """The JSON Schema of the three lists, by name."""
    acts = {
        "type": "object",
        "propertyNames": {"enum": list(ACTS)},
        "additionalProperties": Record(ACT_FIELDS).schema(),
    }
    usual = {
        "type": "object",
        "propertyNames": {"enum": [*SECTIONS, STEPS]},
        "additionalProperties": {"type": "object"},
    }
    return {"usual": usual, "acts": acts, "effects": {"type": "object", "additionalProperties": Effects().schema()}}
