"""The few characters that are not letters, for Unicode and for plain ASCII terminals."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Glyphs:
    """Every special character the screens draw. ``plain`` is True when only ASCII may be drawn."""

    full: str
    empty: str
    rule: str
    up: str
    down: str
    same: str
    dot: str
    line: str
    band: str
    upright: str
    arrow: str
    plain: bool

    def bar(self, share: float, cells: int) -> str:
        """A bar of ``cells`` characters, at least one filled when there is any chance at all."""
        filled = min(cells, max(round(share * cells), 1 if share >= 0.005 else 0))
        return self.full * filled + self.empty * (cells - filled)

    def text(self, text: str) -> str:
        """A text as this terminal can show it: unchanged, or with accents and signs folded to ASCII."""
        if not self.plain or text.isascii():
            return text
        for sign, word in _WORDS.items():
            text = text.replace(sign, word)
        folded = unicodedata.normalize("NFKD", text)
        return "".join(c if c.isascii() else "" if unicodedata.combining(c) else "?" for c in folded)


_WORDS = {"…": "...", "–": "-", "—": "-", "‘": "'", "’": "'", "“": '"', "”": '"', "°": " deg ", "±": "+/-", "→": "->",
          "×": "x", "µ": "u", "Ω": "ohm", "≥": ">=", "≤": "<=", "·": "-"}  # fmt: skip

UNICODE = Glyphs("█", "·", "─", "▲", "▼", "=", "●", "─", "░", "│", "→", False)
ASCII = Glyphs("#", ".", "-", "^", "v", "=", "o", "-", ":", "|", "->", True)
