"""Tools, hazards, points, setups, contexts and readings that nothing refers to are clutter."""

from collections.abc import Iterator

from diag.rulebook.built import every_need, named
from diag.rulebook.desk import SINGULAR, Problem
from diag.rulebook.lint.tools import advice, steps_of
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Names that are defined and never used."""
    book = draft.book
    used: dict[str, set[str]] = {k: set() for k in ("tools", "hazards", "points", "setups", "contexts", "areas")}
    for _, step in steps_of(book):
        used["tools"].update(step.tools)
        used["hazards"].update(step.hazards)
        used["setups"].update(step.needs)
    used["setups"].update(name for name, setup in book.setups.items() if set(setup.stands_for) & used["setups"])
    for check in book.checks.values():
        used["points"].update(y.at for y in check.yields)
    for procedure in book.procedures.values():
        used["hazards"].update(procedure.hazards)
    conditions = [c.is_when for c in book.causes.values() if c.is_when]
    conditions += [one for sign in book.signs.values() for one in sign.conditions]
    for condition in conditions:
        used["points"].update(filter(None, (condition.point, condition.less_point)))
    for cause in book.causes.values():
        used["contexts"].update(cause.more_likely_when)
        used["areas"].add(cause.area)
    used["contexts"].update(map(named, every_need(book)))
    for section, names in used.items():
        for name in getattr(book, section):
            if name not in names:
                place = draft.desk.names[section][name]
                yield advice("unused-names", place, f"Nothing uses the {SINGULAR[section]} {name!r}.")
