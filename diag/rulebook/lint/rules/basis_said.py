"""Every figure has a basis: a source, a computation, or judgement with one line why."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice, error
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Signs, states and readings whose figures nobody accounts for; causes without a source."""
    for section in ("signs", "states", "readings"):
        for name, thing in getattr(draft.book, section).items():
            node = draft.nodes[(section, name)]
            said = "basis" in node.items or "basis" in draft.shared.usual_of(section, node)
            if not said or not thing.basis.why:
                what = f"The figures of {name!r} have no basis."
                hint = "Add 'basis: judgement' (or source, computed) and 'why:' with one line."
                yield error("basis-said", node.place, what, hint)
    for cause in draft.book.causes.values():
        if not cause.source:
            hint = "Add 'source:'; where there is none, write: common practice, no source."
            yield advice("basis-said", draft.place("causes", cause.id, "cause"), f"{cause.id!r} names no source.", hint)
