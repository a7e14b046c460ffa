"""What a book asks of the fuel system, whatever the car: at which points, and which quantities beside one another."""

from __future__ import annotations

from diag.inference.readings.predictions import Frozen
from diag.inference.readings.sights import needs
from diag.rulebook.model import RuleBook


def asked_together(book: RuleBook) -> dict[Frozen, set[str]]:
    """All quantities that the book asks for at a condition: one solution gives them all."""
    result: dict[Frozen, set[str]] = {}
    asked = [(y.at, {y.reading}) for check in book.checks.values() for y in check.yields if y.reading]
    asked += [(point, {quantity}) for sign in book.signs.values() for point, quantity in needs(sign)]
    for point, names in asked:
        if point in book.points:
            result.setdefault(tuple(sorted(book.points[point].settings.items())), set()).update(names)
    return result


def asked_of_checks(book: RuleBook) -> tuple[tuple[str, str], ...]:
    """Every point and quantity that some check reads, or that decides a sign it asks for."""
    found: set[tuple[str, str]] = set()
    for item in (item for check in book.checks.values() for item in check.yields):
        if item.reading and item.at in book.points:
            found.add((item.at, item.reading))
        elif item.sign in book.signs:
            found.update(needs(book.signs[item.sign]))
    return tuple(sorted(found))
