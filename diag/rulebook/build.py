"""From the values of a field table to the objects of the model, one function per section."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from diag.quantities import KINDS
from diag.rulebook.amounts import range_to_si, to_si
from diag.rulebook.basis import Basis
from diag.rulebook.causes import Cause
from diag.rulebook.desk import Desk, nearest
from diag.rulebook.findings import Answer, Point, ReadingKind, Sign, State
from diag.rulebook.hazards import Hazard, StopRule
from diag.rulebook.model import Context, Procedure
from diag.rulebook.physics import PARAMETERS, QUANTITIES
from diag.rulebook.shapes import MISSING
from diag.rulebook.steps import Action, Check, Remedy, Setup
from diag.support.errors import Place
from diag.support.yaml.reader import Map

Values = dict[str, Any]
CHANCE_OF_A_CHOICE = 0.02  # choice signs have no leak of their own; their 'usual' chances say it


def _basis(values: Values, why: str = "why") -> Basis:
    """The basis; unsaid means judgement, which lint asks to be said."""
    return Basis(values.pop("basis", "judgement"), values.pop(why, ""))


def cause(values: Values, node: Map, desk: Desk) -> Any:
    """A cause; damage acts on parameters, sizing is a condition, never both."""
    condition = values.pop("is_when", None)
    values.pop("silent", None)  # stands with the signs
    if condition is not None and values.get("acts_on"):
        desk.problem("schema", node.places["is_when"], "A cause has 'acts_on' or 'is_when', not both.")
        return MISSING
    rows = values.pop("answers", {})
    answers = {sign: _full_row(row, sign, desk) for sign, row in rows.items() if sign in desk.usual}
    return Cause(
        id=values.pop("cause"),
        answers=answers,
        is_when=condition["condition"] if condition else None,
        place=node.place,
        **values,
    )


def _full_row(row: Mapping[str, float], sign: str, desk: Desk) -> dict[str, float]:
    """One categorical row: what is left after the named answers is spread in proportion to the usual chances."""
    usual = desk.usual[sign]
    if len(row) == len(usual):
        total = sum(row.values())
        return {answer: row[answer] / total for answer in usual}
    rest = 1.0 - sum(row.values())
    others = sum(chance for answer, chance in usual.items() if answer not in row)
    return {answer: row.get(answer, rest * chance / others) for answer, chance in usual.items()}


def sign(values: Values, node: Map, desk: Desk) -> Any:
    """A sign of one of three kinds: yes/no, choice, decided by physics."""
    choices = values.pop("choices", None)
    seen = values.pop("seen_when", {})
    silent = {cause: row["why"] for row in values.pop("silent", ()) for cause in row.get("causes", ())}
    if choices and seen:
        desk.problem("schema", node.place, "A sign has 'choices' or 'seen_when', not both.")
        return MISSING
    if "chance" not in values:
        if "choices" in node.items or "seen_when" in node.items:
            if not choices and not seen:
                return MISSING  # reported where it stands
        else:
            hint = "Say how often it is seen with no cause of the book, such as chance: 0.02"
            desk.problem("missing-field", node.place, "The field 'chance' is missing.", hint)
            return MISSING
        values["chance"] = CHANCE_OF_A_CHOICE
    return Sign(
        choices=tuple(Answer(name, **told) for name, told in (choices or {}).items()),
        seen_when=seen.pop("condition", None),
        silent=dict(sorted({**silent, **desk.silent.get(values["sign"], {})}.items())),
        **seen,
        id=values.pop("sign"),
        basis=_basis(values),
        place=node.place,
        **values,
    )


def state(values: Values, node: Map, desk: Desk) -> Any:
    """A hidden condition; its signs must be plain yes/no signs."""
    for name in list(values["seen_as"]):
        if name in desk.usual or name in desk.seen_by_physics:
            seen_as = node.items["seen_as"]
            place = seen_as.places[name] if isinstance(seen_as, Map) else node.place
            desk.problem("wrong-kind", place, f"A state is seen as yes/no signs; {name!r} is none.")
            del values["seen_as"][name]
    return State(id=values.pop("state"), basis=_basis(values), place=node.place, **values)


def reading(values: Values, node: Map, desk: Desk) -> Any:
    """A reading; its amounts are in the unit family of its quantity."""
    kind = values["quantity"]
    if kind not in KINDS:
        hint = nearest(kind, KINDS) or f"Known: {', '.join(sorted(KINDS))}."
        desk.problem("unknown-name", node.items["quantity"].place, f"There is no quantity called {kind!r}.", hint)
        return MISSING
    if QUANTITIES and values["reading"] not in QUANTITIES:
        what = f"The fuel-system model predicts no {values['reading']!r}."
        desk.problem("unknown-parameter", node.items["reading"].place, what)
    limits = range_to_si(values.pop("plausible"), kind, desk)
    spreads = {name: _spread(values.pop(name), kind, desk) for name in _SPREADS}
    if limits is MISSING or MISSING in spreads.values():
        return MISSING
    return ReadingKind(
        id=values.pop("reading"),
        low=limits[0],
        high=limits[1],
        basis=_basis(values),
        place=node.place,
        **spreads,
        **values,
    )


_SPREADS = ("error", "offset", "model_error", "misread_spread")


def _spread(pair: tuple[str, Place], kind: str, desk: Desk) -> Any:
    value = to_si(pair[0], kind, pair[1], desk)
    if value is not MISSING and value <= 0:
        desk.problem("bad-amount", pair[1], f"A spread of {pair[0]} cannot be.", "Write an amount above zero.")
        return MISSING
    return value


def point(values: Values, node: Map, desk: Desk) -> Any:
    """A condition at which readings are taken."""
    return Point(id=values.pop("point"), place=node.place, **values)


_STEP_DEFAULTS: Values = {
    "aloud": (),
    "tools": (),
    "hazards": (),
    "does": (),
    "needs": (),
    "undoes": (),
    "person": "hobbyist",
    "by_phone": False,
    "for_leaks": False,
    "risk_minutes": 0.0,
}


def _stepped(kind: Callable[..., Any], key: str) -> Callable[[Values, Map, Desk], Any]:
    def build(values: Values, node: Map, desk: Desk) -> Any:
        name = values.pop(key)
        if "pass" in values:
            values["passes"] = values.pop("pass")
        redraws = values.get("redraws", ())
        unknown = [r for r in redraws if PARAMETERS and r not in PARAMETERS]
        for parameter in unknown:
            _unknown_redraw(parameter, node, desk)
        if unknown:
            values["redraws"] = tuple(r for r in redraws if r not in unknown)
        return kind(id=name, place=node.place, **{**_STEP_DEFAULTS, **values})

    return build


def _unknown_redraw(parameter: str, node: Map, desk: Desk) -> None:
    members = getattr(node.items["redraws"], "items", [])
    place = next((m.place for m in members if getattr(m, "text", "") == parameter), node.place)
    what = f"The fuel system has no parameter called {parameter!r}."
    desk.problem("unknown-parameter", place, what, nearest(parameter, PARAMETERS))


def hazard(values: Values, node: Map, desk: Desk) -> Any:
    """A danger with its cautions."""
    return Hazard(id=values.pop("hazard"), basis=_basis(values), place=node.place, **values)


def stop(values: Values, node: Map, desk: Desk) -> Any:
    """A stop rule; ``why`` is the reason shown, ``why_basis`` the source of the rule."""
    return StopRule(id=values.pop("stop"), basis=_basis(values, "why_basis"), place=node.place, **values)


def context(values: Values, node: Map, desk: Desk) -> Any:
    """A fact that moves the odds."""
    return Context(id=values.pop("context"), place=node.place, **values)


def procedure(values: Values, node: Map, desk: Desk) -> Any:
    """A piece of shop knowledge."""
    values.setdefault("hazards", ())
    return Procedure(id=values.pop("procedure"), basis=_basis(values, "why_basis"), place=node.place, **values)


BUILDERS: Mapping[str, Callable[[Values, Map, Desk], Any]] = {
    "causes": cause,
    "signs": sign,
    "states": state,
    "readings": reading,
    "points": point,
    "checks": _stepped(Check, "check"),
    "setups": _stepped(Setup, "setup"),
    "remedies": _stepped(Remedy, "remedy"),
    "actions": _stepped(Action, "action"),
    "hazards": hazard,
    "stops": stop,
    "contexts": context,
    "procedures": procedure,
}
