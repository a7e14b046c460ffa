"""A step that may be asked of a caller needs the words to say."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, steps_of
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Steps for the telephone without words for it; dangerous acts asked of the untrained."""
    for section, step in steps_of(draft.book):
        if step.by_phone and "aloud" not in draft.nodes[(section, step.id)].items:
            what = f"{step.id!r} may be asked by phone but has no words to say."
            yield error("said-aloud", draft.place(section, step.id, "by_phone"), what, "Add 'aloud:'.")
        if step.person == "untrained":
            for act in set(step.does) & {"opens system", "pinches hose", "loads spring", "applies air"}:
                what = f"{step.id!r} does {act!r}, which nobody untrained may do."
                yield error("said-aloud", draft.place(section, step.id, "person"), what, "Raise 'person'.")
