"""Text from files and people is data: whatever could steer a terminal or hide words is made visible here.

Everything shown passes ``clean`` or ``one_line``; everything loaded is looked over by ``unfit``. A control character is
replaced by U+FFFD and never silently removed, so that tampering shows.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from diag.support.errors import Place, SourceError

REPLACEMENT = "\ufffd"
ELLIPSIS = "…"

# Inclusive ranges of code points, with the words a message uses for them.
_UNFIT_RANGES: tuple[tuple[int, int, str], ...] = (
    (0x00, 0x08, "control character"),
    (0x0B, 0x1F, "control character"),
    (0x7F, 0x9F, "control character"),
    (0xAD, 0xAD, "invisible character"),
    (0x61C, 0x61C, "character that reverses the writing direction"),
    (0x180E, 0x180E, "invisible character"),
    (0x200B, 0x200D, "invisible character"),
    (0x200E, 0x200F, "character that reverses the writing direction"),
    (0x2028, 0x2029, "line separator"),
    (0x202A, 0x202E, "character that reverses the writing direction"),
    (0x2060, 0x2064, "invisible character"),
    (0x2066, 0x2069, "character that reverses the writing direction"),
    (0x206A, 0x206F, "invisible character"),
    (0xD800, 0xDFFF, "half of a character"),
    (0xFEFF, 0xFEFF, "invisible character"),
    (0xFFF9, 0xFFFB, "invisible character"),
    (0xFFFE, 0xFFFF, "code that stands for no character"),
    (0xE0000, 0xE007F, "invisible character"),
)
_NAMES = {0x00: "null", 0x07: "bell", 0x08: "backspace", 0x0D: "carriage return", 0x1B: "escape", 0x7F: "delete"}

_TABLE = {code: REPLACEMENT for low, high, _ in _UNFIT_RANGES for code in range(low, high + 1)}
_UNFIT = re.compile("[" + "".join(f"{chr(low)}-{chr(high)}" for low, high, _ in _UNFIT_RANGES) + "]")
_SPACE = re.compile(r"\s+")


def clean(text: str, limit: int = 2000) -> str:
    """The same text with every unfit character replaced, at most ``limit`` characters long.

    Line ends become ``\\n``; newline and tab stay. A cut text ends in an ellipsis.
    """
    if len(text) > limit:
        # One more than the limit is enough to know that the text was cut; the rest is never looked at.
        text = text[: 2 * limit + 2]
    if "\r" in text:
        text = text.replace("\r\n", "\n")
    text = text.translate(_TABLE)
    if len(text) > limit:
        text = text[: max(limit - 1, 0)] + ELLIPSIS
    return text


def one_line(text: str, limit: int = 200) -> str:
    """The same text, clean and on one line: every run of blanks and line ends becomes one space."""
    return clean(_SPACE.sub(" ", clean(text, 4 * limit + 16)).strip(), limit)


def unfit(text: str) -> str | None:
    """What is wrong with a text that should hold words only, or None.

    Returns for example ``control character U+001B (escape)``, for use in "There is a ... in this text."
    """
    found = _UNFIT.search(text)
    if found is None:
        return None
    return describe(found.group())


def first_unfit(text: str) -> int:
    """Position of the first unfit character, -1 when there is none."""
    found = _UNFIT.search(text)
    return -1 if found is None else found.start()


def describe(character: str) -> str:
    """Words for one unfit character."""
    code = ord(character)
    kind = next((words for low, high, words in _UNFIT_RANGES if low <= code <= high), "character")
    name = f" ({_NAMES[code]})" if code in _NAMES else ""
    return f"{kind} U+{code:04X}{name}"


def line_and_column(text: str, position: int) -> tuple[int, int]:
    """Line and column, both from 1, of a position in a text."""
    line = text.count("\n", 0, position) + 1
    return line, position - (text.rfind("\n", 0, position) + 1) + 1


def decode_utf8(data: bytes, file: str) -> str:
    """Bytes of a file as text; a leading byte order mark is dropped.

    Raises:
        SourceError: the bytes are not UTF-8, with line and column of the first bad one.
    """
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise SourceError("This file is saved as UTF-16.", "Save it again as UTF-8.", Place(file, 1, 1))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8", "replace")
        line, column = line_and_column(before, len(before))
        raise SourceError(
            f"The byte {data[error.start]:#04x} is not UTF-8 text.",
            "Save the file as UTF-8.",
            Place(file, line, column),
        ) from None


def numbered(texts: Sequence[str]) -> list[str]:
    """One option a line, numbered from 1."""
    return [f"{at}. {one_line(text, 400)}" for at, text in enumerate(texts, 1)]
