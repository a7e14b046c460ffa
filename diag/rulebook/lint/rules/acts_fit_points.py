"""A reading taken with the pump running, the engine at idle or the return opened needs a check that says so."""

from collections.abc import Iterator, Mapping

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, needed_setups
from diag.rulebook.load import Draft
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check


def find(draft: Draft) -> Iterator[Problem]:
    """Checks whose acts and setups do not fit the conditions of their readings."""
    for check in draft.book.checks.values():
        done = set(check.does)
        setups = needed_setups(draft.book, check)
        for name in setups:
            done.update(draft.book.setups[name].does)
        for index, item in enumerate(check.yields):
            point = draft.book.points.get(item.at)
            if point is None or check.from_log:
                continue
            place = draft.place("checks", check.id, "yields", index)
            for act in wanted_acts(point.settings):
                if act not in done:
                    what = f"A reading at {point.id!r} means {act!r}, which {check.id!r} does not say."
                    yield error("acts-fit-points", place, what, f"Add {act} to 'does'.")
            clash = _clash(draft.book, check, point.settings)
            if clash:
                what = f"{check.id!r} needs {clash!r}, but {point.id!r} is taken without."
                yield error("acts-fit-points", place, what, "Name the setup that fits the reading.")


def wanted_acts(settings: Mapping[str, str | float]) -> list[str]:
    """The acts that bring a car into these settings."""
    wanted = []
    if settings.get("pump") == "on":
        wanted.append("runs pump")
    engine = settings.get("engine", "off")
    if engine in ("idle", "cruise", "full load"):
        wanted.append("runs engine")
    if engine == "full load":
        wanted.append("loads engine")
    if engine == "cranking":
        wanted.append("cranks engine")
    if settings.get("return") == "opened":
        wanted.append("opens system")
    if settings.get("return") == "pinched" or settings.get("clamp", "none") != "none":
        wanted.append("pinches hose")
    reference = settings.get("reference", 0.0)
    if isinstance(reference, float) and reference > 0:
        wanted.append("applies air")
    return wanted


def _clash(book: RuleBook, check: Check, settings: Mapping[str, str | float]) -> str:
    """A setup of the reference hose that contradicts the condition; empty when all is well."""
    against = {"on": ("hose-off", "hand-pump-fitted"), "off": ("hose-on", "hand-pump-fitted"), "hand": ("hose-on",)}
    wrong = against.get(str(settings.get("hose", "")), ())
    several = {book.points[y.at].settings.get("hose") for y in check.yields if y.at in book.points}
    if len(several) > 1:
        return ""  # a check over several conditions moves the hose itself
    return next((name for name in check.needs if name in wrong), "")
