from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.support.errors import SourceError
from diag.support.text import clean, decode_utf8, first_unfit, line_and_column, one_line, unfit
from tests.support.fuzzing import examples

HOSTILE = [
    "\x1b]0;title\x07",
    "\x1b[2J\x1b[H",
    "\x9b31m",
    "a\x00b",
    "a\x7fb",
    "\u202egpj.exe",
    "\u2066x\u2069",
    "a\u200bb",
    "a\u200db",
    "\ufeffa",
    "a\u2028b",
    "\ud83d",
    "\U000e0041",
    "a\rb",
    "\x85",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_found_and_replaced(text: str) -> None:
    """Every way to steer a terminal or to hide words is named by unfit and gone after clean."""
    assert unfit(text) is not None
    cleaned = clean(text)
    assert unfit(cleaned) is None
    assert "\ufffd" in cleaned


@given(st.text(alphabet=st.characters(exclude_categories=()), max_size=300))
@examples(300)
def test_clean_leaves_no_control_or_format_character(text: str) -> None:
    """Whatever goes in, no character of the Unicode categories control, surrogate or format comes out.

    Source: categories from the Unicode Character Database as Python's unicodedata ships it; soft hyphens and the
    Arabic number marks, which only shape letters, are the exceptions we allow.
    """
    letters_only = set("\u0600\u0601\u0602\u0603\u0604\u0605\u06dd\u070f\u0890\u0891\u08e2\U000110bd\U000110cd")
    for character in clean(text, 10_000):
        if character in "\n\t":
            continue
        category = unicodedata.category(character)
        assert category not in ("Cc", "Cs"), hex(ord(character))
        if category == "Cf" and character not in letters_only:
            assert ord(character) > 0x1_3000, hex(ord(character))  # shorthand and musical formatting, harmless


@given(st.text(max_size=200), st.integers(1, 50))
@examples(100)
def test_limits_hold(text: str, limit: int) -> None:
    """Neither function returns more characters than asked for, and one_line has no line ends or tabs."""
    assert len(clean(text, limit)) <= limit
    line = one_line(text, limit)
    assert len(line) <= limit
    assert "\n" not in line
    assert "\t" not in line


def test_clean_keeps_good_text_as_it_is() -> None:
    """Words, accents, units, newlines and tabs pass unchanged, and line ends become one kind."""
    text = "Rail 43.5 psi, 20 °C, Ω, naïve\n\tnext line 日本"
    assert clean(text) == text
    assert clean("a\r\nb") == "a\nb"
    assert unfit(text) is None


def test_a_cut_text_says_so() -> None:
    """A text over the limit ends in an ellipsis."""
    assert clean("abcdef", 4) == "abc…"
    assert one_line("a  b\n c", 20) == "a b c"


def test_unfit_names_the_character() -> None:
    """The message names the code and, where there is one, the name of the character."""
    assert unfit("x\x1b") == "control character U+001B (escape)"
    assert unfit("x\u202e") == "character that reverses the writing direction U+202E"
    assert first_unfit("ab\x1b") == 2
    assert first_unfit("ab") == -1


def test_positions_count_from_one() -> None:
    """Line and column are those an editor shows."""
    assert line_and_column("ab\ncd", 0) == (1, 1)
    assert line_and_column("ab\ncd", 4) == (2, 2)


def test_bytes_that_are_not_utf8_are_placed() -> None:
    """A Latin-1 byte and a UTF-16 file are refused with a place and advice; a byte order mark is dropped."""
    with pytest.raises(SourceError, match=r"f\.yaml:2:4: The byte 0xe9"):
        decode_utf8(b"a: 1\nb: \xe9\n", "f.yaml")
    with pytest.raises(SourceError, match="UTF-16"):
        decode_utf8("a: 1".encode("utf-16"), "f.yaml")
    assert decode_utf8(b"\xef\xbb\xbfa: 1", "f.yaml") == "a: 1"


@given(st.binary(max_size=60))
@examples(100)
def test_decoding_raises_nothing_else(data: bytes) -> None:
    """Any bytes give a text or a SourceError."""
    try:
        text = decode_utf8(data, "f")
    except SourceError as error:
        text, placed = None, error.place
    else:
        placed = None
    assert (text is None) == (placed is not None)
    assert text is None or text == data.decode("utf-8-sig")
