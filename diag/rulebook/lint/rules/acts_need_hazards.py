"""What a step does decides which dangers it must name, so that their cautions are shown before it."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, steps_of
from diag.rulebook.load import Draft

# Act -> dangers that come with it. Common practice, no source; dangers as in the safety sheets of hazards.yaml.
WANTED: dict[str, tuple[str, ...]] = {
    "runs pump": ("pressurised-fuel",),
    "runs engine": ("exhaust-gas", "moving-parts"),
    "cranks engine": ("moving-parts",),
    "drives car": ("road-test",),
    "opens system": ("liquid-fuel", "vapour"),
    "pinches hose": ("pressurised-fuel",),
    "loads spring": ("spring",),
    "applies air": ("compressed-air",),
    "sparks": ("battery",),
}


def find(draft: Draft) -> Iterator[Problem]:
    """Steps that do something dangerous without naming the danger."""
    known = draft.book.hazards
    for section, step in steps_of(draft.book):
        for act in step.does:
            for hazard in WANTED.get(act, ()):
                if hazard in known and hazard not in step.hazards:
                    place = draft.place(section, step.id, "hazards")
                    what = f"{step.id!r} does {act!r} but does not name the hazard {hazard!r}."
                    yield error("acts-need-hazards", place, what, f"Add {hazard} to its hazards.")
