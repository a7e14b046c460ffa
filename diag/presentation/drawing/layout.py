"""Where the boxes of the drawing stand, for letters and for lines alike. Units: one column and one line of text."""

from __future__ import annotations

from dataclasses import dataclass

from diag.presentation.drawing.parts import Mark

WIDTH, HEIGHT = 76, 17
INNER = 11  # columns of text in a box


@dataclass(frozen=True, slots=True)
class Box:
    """A place's box: left column, top line, columns and lines with its frame."""

    place: str
    left: int
    top: int
    columns: int = INNER + 2
    lines: int = 5

    @property
    def right(self) -> int:
        """Its last column."""
        return self.left + self.columns - 1

    @property
    def bottom(self) -> int:
        """Its last line."""
        return self.top + self.lines - 1

    @property
    def middle(self) -> int:
        """The column of its middle."""
        return self.left + self.columns // 2


BOXES: dict[str, Box] = {
    box.place: box
    for box in (
        Box("wiring", 16, 0),
        Box("gauge", 47, 0),
        Box("reference", 63, 0),
        Box("tank", 0, 6),
        Box("pump", 16, 6),
        Box("filter", 32, 6),
        Box("rail", 47, 6),
        Box("regulator", 63, 6),
        Box("return", 24, 12, 29),
    )
}
FLOW = (("tank", "pump"), ("pump", "filter"), ("filter", "rail"), ("rail", "regulator"))
"""From left to right along the feed."""
DROPS = (("wiring", "pump"), ("gauge", "rail"), ("reference", "regulator"))
"""From the upper row down to the part it serves."""


def words_in(mark: Mark) -> list[str]:
    """The three lines inside a box: what is fitted; wet or suspected; where the step is and which readings."""
    state = "WET" if mark.wet else ""
    if mark.suspected:
        share = f"{100 * mark.suspected:.0f}" if mark.suspected < 0.995 else ">99"
        state = f"{state} ?{share} %".strip()
    readings = f"({' '.join(mark.readings)})" if mark.readings else ""
    return [mark.fitted, state, f"{'HERE' if mark.here else ''} {readings}".strip()]
