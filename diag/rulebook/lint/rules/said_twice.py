"""What entries share is said once: no usual value is repeated, and what several causes do alike is a named effect."""

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error
from diag.rulebook.load import Draft
from diag.rulebook.tables import STEP_SECTIONS
from diag.support.yaml.reader import Map, Node, Scalar, Seq


def find(draft: Draft) -> Iterator[Problem]:
    """Fields that say what is usual, acts that come with another, effects spelt out again or named by one cause."""
    for (section, name), node in draft.nodes.items():
        yield from _usual_again(draft, section, name, node)
        if section in STEP_SECTIONS:
            yield from _acts_again(draft, name, node)
    yield from _effects(draft)


def _usual_again(draft: Draft, section: str, name: str, node: Map) -> Iterator[Problem]:
    waiting = [(node, draft.shared.usual_of(section, node))]
    while waiting:
        here, usual = waiting.pop()
        for field, value in usual.items():
            said = here.items.get(field)
            if isinstance(said, Map) and isinstance(value, Map):
                waiting.append((said, value.items))
            elif said is not None and _same(field, said, value):
                what = f"{name!r} says under {field!r} what is usual."
                yield error("said-twice", here.places.get(field, here.place), what, "Leave the line out.")


def _same(field: str, one: Node, other: Node) -> bool:
    here, there = _plain(one), _plain(other)
    return sorted(here) == sorted(there) if field == "undoes" else here == there


def _plain(node: Node) -> Any:
    if isinstance(node, Map):
        return {key: _plain(child) for key, child in node.items.items()}
    return [_plain(child) for child in node.items] if isinstance(node, Seq) else node.text


def _acts_again(draft: Draft, name: str, node: Map) -> Iterator[Problem]:
    does = node.items.get("does")
    members = [m for m in does.items if isinstance(m, Scalar)] if isinstance(does, Seq) else []
    for member in members:
        for other in members:
            if other is not member and member.text in draft.shared.all_with(other.text):
                what = f"{name!r} names {member.text!r}, which comes with {other.text!r}."
                yield error("said-twice", member.place, what, "Leave it out.")
                break


def _effects(draft: Draft) -> Iterator[Problem]:
    users: dict[str, int] = defaultdict(int)
    spelt: dict[str, list[tuple[str, Node]]] = defaultdict(
        list
    )  # one parameter and what is done to it -> who writes it
    for (section, cause), node in draft.nodes.items():
        acts = node.items.get("acts_on") if section == "causes" else None
        for part in acts.items if isinstance(acts, Seq) else [acts] if acts is not None else []:
            if isinstance(part, Scalar):
                users[part.text] += 1
            elif isinstance(part, Map):
                for parameter, change in part.items.items():
                    spelt[f"{parameter} {_plain(change)}"].append((cause, change))
    named = {
        f"{parameter} {_plain(change)}": name
        for name, effect in draft.shared.effects.items()
        if len(effect.items) == 1
        for parameter, change in effect.items.items()
    }
    for text, told in spelt.items():
        for cause, change in told if text in named else told[1:]:
            hint = f"Use the name {named[text]}." if text in named else "Name it under 'effects' and use the name."
            yield error("said-twice", change.place, f"What {cause!r} does to the fuel system is written twice.", hint)
    for name, effect in draft.shared.effects.items():
        if users[name] < 2:
            hint = "Write it out in that cause." if users[name] else "Take it out."
            yield error("said-twice", effect.place, f"The effect {name!r} is named by {users[name]} cause.", hint)
