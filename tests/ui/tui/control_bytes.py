"""What a screen may write to a terminal, and what else was written: the parser looks at bytes, not at the picture."""

from __future__ import annotations

import re

# ECMA-48 control sequences that the screens need: colours, cursor, erasing to draw, and the private modes of xterm
# (alternate screen, mouse, paste, synchronised output) with their questions.
ALLOWED = re.compile(
    r"\x1b\[[0-9;:]*m"  # select graphic rendition
    r"|\x1b\[[0-9;]*[HABCDdG]"  # cursor to a place
    r"|\x1b\[[0-3]?[JK]"  # erase in display or line
    r"|\x1b\[\?[0-9;]+[hl]"  # private modes on and off
    r"|\x1b\[\?[0-9;]+\$p"  # what a private mode is
    r"|\x1b\[[<>=]?[0-9;]*u"  # keyboard protocol
    r"|\x1b\[>[0-9]*q"  # name of the terminal
    r"|\x1b\[[0-9;]*t"  # size of the window
    r"|\x1b\[[0-9]* ?q"  # shape of the cursor
    r"|\x1b\]22;[a-z-]*(?:\x1b\\|\x07)"  # shape of the pointer
    r"|\x1b[78=>]"  # save and restore the cursor, keypad
)
CONTROL = re.compile(r"[\x00-\x09\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


CUT = re.compile(r"\x1b(?:\[[0-9;:?$<=> ]*)?\Z")


def control_bytes(written: str, killed: bool = False) -> list[str]:
    """Every control character that is no part of an allowed sequence, with a few characters after it.

    ``killed``: whoever wrote it may have been cut off in the middle of a sequence.
    """
    left = ALLOWED.sub("", CUT.sub("", written) if killed else written)
    return [left[found.start() : found.start() + 12] for found in CONTROL.finditer(left)]
