"""What the gauges read on a typical car with each cause: predicted by the same physics that weighs real readings."""

from __future__ import annotations

from dataclasses import dataclass

from diag.fuelsystem.car import Car, car_from_texts
from diag.inference.evidence import Epoch, Evidence
from diag.inference.expected_reading import Spread, predicted_reading
from diag.inference.model import Model, compile_model
from diag.presentation.pictures import escaped, svg
from diag.quantities import show, to_unit
from diag.rulebook.model import RuleBook

TYPICAL: dict[str, str] = {
    "fuel": "petrol", "pump-flow": "255 L/h", "pump-pressure": "43.5 psi", "pump-volts": "13.5 V",
    "target-pressure": "43.5 psi", "target-hose": "off", "return-bore": "8 mm", "return-length": "4 m",
    "feed-bore": "8 mm", "feed-length": "4 m", "injector-flow": "440 cc/min", "injector-count": "4",
    "boost": "10 psi", "idle-vacuum": "18 inHg", "altitude": "100 m",
}  # fmt: skip
"""The car of the handbook: a four-cylinder with modest boost, near the middle of what is met. Judgement."""

PRESSURE_POINTS = (
    "pump-on-engine-off", "idle-hose-off", "idle-hose-on", "screw-out", "return-opened", "cruise", "full-load",
    "five-minutes-free",
)  # fmt: skip
"""Where the rail is read, in the order a person would."""

OTHERS = (
    ("return flow", "pump-on-engine-off"), ("pump volts", "pump-on-engine-off"), ("pump amps", "pump-on-engine-off"),
    ("pump outlet pressure", "pump-on-engine-off"), ("regulator outlet pressure", "pump-on-engine-off"),
)  # fmt: skip
"""Other readings, told only where they differ from a sound car's."""

WIDTH, ROW, LEFT, TOP = 640, 22, 200, 30
MOST_BAR = 7.0  # right end of the picture, bar


@dataclass(frozen=True, slots=True)
class Reads:
    """One reading on the typical car: sound, and with the cause. SI; ``apart``: the two bands do not overlap."""

    reading: str
    point: str
    sound: Spread
    faulty: Spread

    @property
    def apart(self) -> bool:
        """Whether nine readings of ten tell this cause from a sound car."""
        return self.faulty.p05 > self.sound.p95 or self.faulty.p95 < self.sound.p05


class TypicalCar:
    """The model of the typical car, compiled once, and what a sound one reads."""

    def __init__(self, book: RuleBook) -> None:
        self.book = book
        self.car: Car = car_from_texts(TYPICAL, contexts=book.contexts)
        self.model: Model = compile_model(book, self.car)
        self._told = Evidence(epochs=(Epoch(),))
        wanted = [("rail pressure", point) for point in PRESSURE_POINTS] + list(OTHERS)
        self.asked = [(r, p) for r, p in wanted if r in book.readings and p in book.points]
        self._sound = {(r, p): self._predict((), r, p) for r, p in self.asked}

    def _predict(self, causes: tuple[str, ...], reading: str, point: str) -> Spread:
        return predicted_reading(self.model, causes, reading, point, self._told)

    def reads(self, cause: str) -> list[Reads]:
        """Every reading asked for with this cause; empty for a cause that no gauge sees."""
        if not self.book.causes[cause].is_physical or self.model.physics is None:
            return []
        return [Reads(r, p, self._sound[r, p], self._predict((cause,), r, p)) for r, p in self.asked]


def span(spread: Spread, kind: str) -> str:
    """Nine readings of ten, in the unit of the trade."""
    return f"{show(spread.p05, kind, figures=3)} to {show(spread.p95, kind, figures=3)}"


def reads_picture(reads: list[Reads], book: RuleBook) -> str:
    """Bars of rail pressure at each point: grey a sound car, framed this cause; bar below, psi above."""
    rows = [r for r in reads if r.reading == "rail pressure"]
    bottom = TOP + ROW * len(rows)

    def x(pascal: float) -> float:
        share = min(max(pascal / (MOST_BAR * 1e5), 0.0), 1.0)
        return round(LEFT + share * (WIDTH - LEFT - 20), 1)

    parts = []
    for bar in range(int(MOST_BAR) + 1):
        at = x(bar * 1e5)
        parts.append(f'<path class="g" d="M{at} {TOP - 6}V{bottom}"/>')
        parts.append(f'<text class="s" x="{at}" y="{bottom + 14}" text-anchor="middle">{bar} bar</text>')
        psi = to_unit(bar * 1e5, "pressure", "psi")
        parts.append(f'<text class="s" x="{at}" y="{TOP - 10}" text-anchor="middle">{psi:.0f} psi</text>')
    for at, row in enumerate(rows):
        y = TOP + ROW * at
        title = book.points[row.point].title
        parts.append(f'<text class="s" x="{LEFT - 6}" y="{y + 14}" text-anchor="end">{escaped(title[:34])}</text>')
        left, right = x(row.sound.p05), x(row.sound.p95)
        parts.append(f'<path fill="#ddd" stroke="none" d="M{left} {y + 2}H{right}v16H{left}Z"/>')
        left, right = x(row.faulty.p05), x(row.faulty.p95)
        parts.append(f'<path class="l" d="M{left} {y + 5}H{max(right, left + 2)}v10H{left}Z"/>')
    words = "; ".join(f"{book.points[r.point].title}: {span(r.faulty, 'pressure')}" for r in rows)
    return svg("Rail pressure, grey a sound car, framed this cause", words, parts, (WIDTH, bottom + 22))
