"""How a hearing is scored against what a master would have written down."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

import yaml

from diag.hearing.listen import Listener
from diag.hearing.understood import Item, Setting
from diag.quantities import parse
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.model import RuleBook

HERE = Path(__file__).parent


@dataclass
class Score:
    """Counts over many sentences."""

    wanted: int = 0
    first: int = 0
    among_three: int = 0
    ticked: int = 0
    wrong_ticks: int = 0
    notes: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        """The three figures in one line."""
        return (
            f"{self.wanted} things wanted: offered first {self.first / self.wanted:.3f}, among three "
            f"{self.among_three / self.wanted:.3f}; ticked {self.ticked}, wrong {self.wrong_ticks} "
            f"({self.wrong_ticks / max(self.ticked, 1):.3f})"
        )


def sentences(name: str) -> list[dict[str, object]]:
    """The sentences of one file."""
    return list(yaml.safe_load((HERE / name).read_text(encoding="utf-8"))["sentences"])


def is_meant(item: Item, meant: str, book: RuleBook) -> bool:
    """Whether an item is what a master would have written down."""
    if meant.startswith("R:"):
        place, _, value = meant[2:].partition("=")
        reading, _, point = place.partition("@")
        if item.kind != "reading" or (item.id, item.point) != (reading, point):
            return False
        quantity = book.readings[reading].quantity
        want, got = parse(value, quantity), parse(item.answer, quantity)
        return abs(want.value - got.value) <= 1e-6 * max(abs(want.value), 1e-9) and want.bound == got.bound
    if meant.startswith("F:"):
        name, _, value = meant[2:].partition("=")
        if item.kind != "fact" or item.id != name:
            return False
        from diag.fuelsystem.car import read_field

        return read_field(name, value) == read_field(name, item.answer) if name != "fuel-level" else True
    denied, name = meant.startswith("!"), meant.lstrip("!")
    name, _, choice = name.partition("=")
    answer = choice or (ABSENT if denied else PRESENT)
    return item.kind == "sign" and item.id == name and item.answer == answer


def known(meant: str, book: RuleBook) -> bool:
    """Whether the book has what is meant."""
    if meant.startswith("R:"):
        reading, _, point = meant[2:].partition("=")[0].partition("@")
        return reading in book.readings and point in book.points
    if meant.startswith("F:"):
        from diag.fuelsystem.fields import FIELDS

        name = meant[2:].partition("=")[0]
        return name in FIELDS or name in book.contexts
    name, _, choice = meant.lstrip("!").partition("=")
    sign = book.signs.get(name)
    return sign is not None and (not choice or choice in sign.possible)


def score(rows: Iterable[dict[str, object]], book: RuleBook, setting: Setting | None = None) -> Score:
    """Hear every sentence and count."""
    listener = Listener(book)
    total = Score()
    for row in rows:
        said, wanted = str(row["say"]), [str(m).split(" | ") for m in row["means"]]  # type: ignore[attr-defined]
        also = {str(a) for a in row.get("also", ())}  # type: ignore[attr-defined]
        right = {way for ways in wanted for way in ways} | {a for a in also if a.startswith("!")}
        hearing = listener.hear(said, setting)
        for ways in wanted:
            total.wanted += 1
            ranks = [
                rank for piece in hearing.heard for rank, item in enumerate(piece.items)
                if any(is_meant(item, way, book) for way in ways)
            ]  # fmt: skip
            rank = min(ranks, default=99)
            total.first += rank == 0
            total.among_three += rank < 3
            if rank:
                total.notes.append(
                    f"{'MISS' if rank > 2 else f'#{rank + 1}'} {said!r} wanted {ways} got {_shown(hearing.heard)}"
                )
        for piece in hearing.ticked:
            total.ticked += 1
            if not any(is_meant(piece.best, way, book) for way in right) and piece.best.id not in also:
                total.wrong_ticks += 1
                total.notes.append(f"WRONG {said!r} ticked {piece.best.title} ({piece.best.confidence:.2f})")
    return total


def _shown(heard: Iterable[object]) -> list[str]:
    return [
        f"{'x' if p.ticked else '-'}{'/'.join(f'{i.id}={i.answer}@{i.point}:{i.confidence:.2f}' for i in p.items[:3])}"  # type: ignore[attr-defined]
        for p in heard
    ]
