"""What goes into the drawing: the places of a fuel system, and what is known, read, wet or suspected at each.

Places are those of a return-style system in the order of the flow. Everything comes from the job's standing; nothing is
worked out here but where it belongs.
"""

from __future__ import annotations

from collections.abc import Mapping
from string import ascii_lowercase

from diag.casework.entries import ReadingTaken, SignAnswer
from diag.casework.replay import Standing
from diag.fuelsystem.car import Car
from diag.inference.areas import area_chances
from diag.inference.explain import ReadingView, reading_views
from diag.presentation.drawing.parts import Mark, SystemDrawing
from diag.presentation.wording import EXITS, Words
from diag.quantities import show
from diag.rulebook.findings import PRESENT
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Step
from diag.safety.steps import find_step

PLACES: dict[str, str] = {
    "tank": "Tank", "pump": "Pump", "filter": "Filter", "rail": "Rail", "regulator": "Regulator",
    "return": "Return", "wiring": "Wiring", "gauge": "Gauge", "reference": "Reference",
}  # fmt: skip
"""Place -> the word in the drawing."""

PLACE_OF_AREA: dict[str, str] = {
    "tank": "tank", "pump": "pump", "feed": "filter", "rail": "rail", "regulator": "regulator", "return": "return",
    "electrics": "wiring", "gauge": "gauge", "reference": "reference",
}  # fmt: skip
"""Area of the rule book -> place; the areas that lie outside the fuel system have none."""

PLACE_OF_READING: dict[str, str] = {
    "regulator outlet pressure": "return", "pump outlet pressure": "pump", "filter drop": "filter",
    "feed drop": "filter", "gauge at rest": "gauge", "return flow": "return", "volume caught": "return",
    "pump flow": "pump", "pump amps": "wiring", "pump volts": "wiring", "feed volt drop": "wiring",
    "contact volt drop": "wiring", "joint volt drop": "wiring", "ground volt drop": "wiring",
    "battery volts": "wiring", "reference pressure": "reference", "manifold vacuum": "reference",
    "tank pressure": "tank", "return line drop": "return", "seat drop": "regulator",
}  # fmt: skip
"""Reading -> where it is taken; every other reading is taken at the rail."""

PLACE_OF_WET: dict[str, str] = {
    "fuel-at-joint": "filter", "fuel-at-rail": "rail", "fuel-at-filter": "filter", "fuel-at-pump": "pump",
    "fuel-at-tank": "tank", "paper-wet-at-union": "filter", "paper-wet-at-injector": "rail",
    "paper-wet-at-tank": "tank", "smell-at-reference-hose": "reference", "fuel-in-reference-hose": "reference",
    "fuel-at-cap": "regulator", "fuel-at-regulator-port": "regulator", "return-joint-wet": "return",
    "damper-hose-wet": "rail", "damper-lid-wet": "rail", "fuel-at-test-port": "rail",
}  # fmt: skip
"""Sign of wet fuel -> where it is; a smell, a puddle or fuel in the cabin belongs to no one place."""

SUSPECT_FROM = 0.05
MOST_READINGS = 9
BESIDE = 2  # leading causes whose prediction stands beside a reading


def system_drawing(standing: Standing, with_bands: bool = True, found_only: bool = False) -> SystemDrawing:
    """The drawing of a job as it stands.

    Args:
        standing: where it stands.
        with_bands: set beside every reading what a sound car and the leading causes would show, which takes time.
        found_only: what is fitted, read and wet, without what is suspected or proposed: for whoever is to find out.
    """
    book, case = standing.book, standing.case
    chances = {} if found_only else area_chances(standing.belief, book)
    at_place = {PLACE_OF_AREA[area]: chance for area, chance in chances.items() if area in PLACE_OF_AREA}
    here = "" if found_only else place_of_step(find_step(book, standing.proposal.step), book)
    wet = _wet_places(standing)
    taken = _newest_readings(standing)
    marks = {}
    for place, title in PLACES.items():
        chance = at_place.get(place, 0.0)
        read = tuple(letter for letter, r in taken.items() if place_of_reading(r.reading) == place)
        marks[place] = Mark(
            place, title, _fitted(place, standing.car, case.unit_pressure), chance if chance >= SUSPECT_FROM else 0.0,
            place in wet, place == here, read,
        )  # fmt: skip
    suspects = () if found_only else tuple(_suspects(standing))
    return SystemDrawing(marks, (*_reading_lines(standing, taken, with_bands and not found_only), *suspects))


def place_of_reading(reading: str) -> str:
    """Where a reading is taken."""
    return PLACE_OF_READING.get(reading, "rail")


def place_of_step(step: Step | None, book: RuleBook) -> str:
    """Where a step is done: at its reading's place, else where most causes that its signs speak of lie; or nowhere."""
    if not isinstance(step, Check) or step.look_over:
        return ""
    for part in step.yields:
        if part.reading:
            return place_of_reading(part.reading)
    signs = {part.sign for part in step.yields}
    counts: dict[str, int] = {}
    for cause in book.causes.values():
        if signs & (cause.shows.keys() | cause.answers.keys()) and cause.area in PLACE_OF_AREA:
            place = PLACE_OF_AREA[cause.area]
            counts[place] = counts.get(place, 0) + 1
    return min(counts, key=lambda place: (-counts[place], place), default="")


def _wet_places(standing: Standing) -> set[str]:
    newest = {e.sign: e.answer for e in standing.case.effective() if isinstance(e, SignAnswer)}
    return {PLACE_OF_WET[sign] for sign, answer in newest.items() if answer == PRESENT and sign in PLACE_OF_WET}


def _newest_readings(standing: Standing) -> dict[str, ReadingTaken]:
    """The newest of each reading at each condition by letter, at most as many as a drawing has room for."""
    newest = {(e.reading, e.point): e for e in standing.case.effective() if isinstance(e, ReadingTaken)}
    kept = sorted(newest.values(), key=lambda e: e.number)[-MOST_READINGS:]
    return dict(zip(ascii_lowercase, kept, strict=False))


def _fitted(place: str, car: Car, unit: str) -> str:
    """What the papers say is fitted at a place, in a few characters; empty when nobody said."""

    def told(field: str, kind: str, to: str | None = None) -> str:
        value = car.number(field)
        return show(value, kind, to, figures=3) if value is not None else ""

    count = car.number("injector-count")
    parts = {
        "tank": [car.word("fuel")],
        "pump": [told("pump-flow", "flow"), car.word("pump-place")],
        "filter": [told("feed-bore", "bore")],
        "rail": [f"{count:g} x" if count else "", told("injector-flow", "flow", "cc/min")],
        "regulator": [told("target-pressure", "pressure", unit)],
        "return": [told("return-bore", "bore"), told("return-length", "length")],
        "wiring": [told("battery-volts", "voltage")],
        "gauge": [told("gauge-span", "pressure", unit)],
        "reference": [told("boost", "pressure", unit)],
    }[place]
    return " ".join(part for part in parts if part)


def _reading_lines(standing: Standing, taken: Mapping[str, ReadingTaken], with_bands: bool) -> list[str]:
    views: dict[int, ReadingView] = {}
    if with_bands and taken and standing.model.physics is not None:
        ranked = [c for c, p in standing.belief.ranked() if c in standing.book.causes and p >= SUSPECT_FROM]
        causes = [c for c in ranked if standing.book.causes[c].is_physical][:BESIDE]
        views = {view.entry: view for view in reading_views(standing.model, standing.evidence, causes)}
    return [f"({letter}) {_reading_line(e, standing, views.get(e.number))}" for letter, e in taken.items()]


def _reading_line(entry: ReadingTaken, standing: Standing, view: ReadingView | None) -> str:
    book, kind = standing.book, standing.book.readings.get(entry.reading)
    title = kind.title if kind is not None else entry.reading
    point = book.points[entry.point].title if entry.point in book.points else entry.point
    line = f"{title}: {entry.text}, {point}"
    if view is None or kind is None:
        return line
    unit = standing.case.unit_pressure if kind.quantity == "pressure" else None

    def span(low: float, high: float) -> str:
        return f"{show(low, kind.quantity, unit, figures=3)} to {show(high, kind.quantity, unit, figures=3)}"

    bands = [f"a sound car {span(view.healthy.p05, view.healthy.p95)}"]
    words = Words(book, standing.case.unit_pressure)
    bands += [f"{words.cause(name)[0]} {span(s.p05, s.p95)}" for name, s in view.causes.items()]
    return f"{line}. Expected: {'; '.join(bands)}"


def _suspects(standing: Standing) -> list[str]:
    lines, words = [], Words(standing.book, standing.case.unit_pressure)
    for name, chance in standing.belief.ranked():
        if chance < SUSPECT_FROM or name in EXITS:
            continue
        area = standing.book.causes[name].area
        where = PLACES.get(PLACE_OF_AREA.get(area, ""), standing.book.areas[area])
        lines.append(f"? {where}: {words.cause(name)[0]}")
    return lines
