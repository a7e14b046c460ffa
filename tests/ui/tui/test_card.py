"""Laying out cards."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from diag.ui.tui.card import MARGIN, Part, Row, keys, lay_out, plain_text, row
from diag.ui.tui.glyphs import ASCII, UNICODE

HOSTILE = st.text(
    st.sampled_from(list("ab \n\t[]\x1b\x9b\x07\u202e\u200b\u0301é語🚗\x7f\ud800\\{}")) | st.characters(), max_size=200
)


@given(label=HOSTILE, text=HOSTILE, width=st.integers(12, 130), hang=st.integers(0, 8))
@settings(max_examples=150, deadline=None)
def test_no_line_is_wider_than_the_screen_and_nothing_in_it_steers_a_terminal(
    label: str, text: str, width: int, hang: int
) -> None:
    """Whatever stands in a row, its lines fit and hold no control character."""
    room = max(width, MARGIN + 8)
    for item in (Row(label, (Part(text),), hang=hang), Row(label, (Part(text),), clip=True)):
        for line in lay_out([item], width):
            shown = "".join(part.text for part in line)
            assert cell_len(shown) <= room
            assert not any(ord(c) < 32 or 0x7F <= ord(c) <= 0x9F or 0xD800 <= ord(c) <= 0xDFFF for c in shown)


def test_a_row_wraps_beside_its_label_and_hangs() -> None:
    """The label stands once; later lines are indented by margin and hang."""
    lines = lay_out([row("DO", "1. one two three four five", hang=3)], 24)
    assert plain_text(lines) == "DO      1. one two three\n           four five"


def test_a_key_and_its_words_stay_together() -> None:
    """A break never falls between a key and what it means."""
    text = plain_text(lay_out([row("", keys([("y", "yes"), ("u", "not known")]))], 26))
    assert text == "        [y] yes\n        [u] not known"


def test_a_stop_fills_the_whole_width() -> None:
    """The look of a filled row goes to the right edge, so that it is seen without colour."""
    (line,) = lay_out([Row("STOP", (Part("Fuel", "alarm"),), "alarm", 0, "alarm")], 40)
    assert sum(cell_len(part.text) for part in line) == 40
    assert {part.look for part in line} == {"alarm"}


def test_a_plain_terminal_gets_ascii_only() -> None:
    """Accents, arrows and ellipses are folded; what has no fold becomes a question mark."""
    line = plain_text(lay_out([row("ORT", "Café … 5 °C → über 語", "")], 60, ASCII))
    assert line.isascii()
    assert "Cafe ... 5  deg C -> uber ?" in line


def test_bars_are_as_long_as_the_chance() -> None:
    """A tenth fills one of ten cells, nothing at all fills none, certainty all."""
    assert [UNICODE.bar(p, 10).count("█") for p in (0.0, 0.01, 0.1, 0.55, 1.0)] == [0, 1, 1, 6, 10]
    assert ASCII.bar(0.5, 4) == "##.."
