"""Practice on cards: the pieces of a session and its debrief as rows. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diag.practice.progress import picture_lines, progress_lines
from diag.practice.results import Result
from diag.practice.state import Session
from diag.practice.words import Piece
from diag.support.text import one_line
from diag.ui.tui.card import Part, Row, row

LOOKS = {"STOP": "alarm", "CARE": "care", "SAFETY": "care", "RESULT": "strong", "DONE": "strong", "WAS": "strong"}
WIDEST_PICTURE = 30  # sessions side by side on 80 columns


def piece_rows(pieces: Iterable[Piece]) -> list[Row]:
    """Labelled paragraphs; what must not be missed says so by its word and its look."""
    return [_piece(piece) for piece in pieces]


def _piece(piece: Piece) -> Row:
    look = LOOKS.get(piece.label, "")
    if piece.label == "STOP":
        return Row("STOP", (Part(piece.text, "alarm"),), "alarm", 0, "alarm")
    label_look = look or ("care" if piece.loud else "strong")
    text_look = "care" if piece.loud and piece.label != "CARE" else "strong" if look == "strong" else ""
    return row(piece.label, piece.text, text_look, label_look=label_look)


def head_facts(session: Session) -> str:
    """Car, clock and commitment in one line."""
    named = ", ".join(session.book.causes[c].title for c in session.named)
    committed = f"named: {one_line(named, 30)}" if named else "no fault named"
    return (
        f"{session.deal.club_car.name}, {session.deal.level.title.lower()}, car {session.deal.seed}   "
        f"{session.minutes:.0f} min, risk {session.risk:.0f}   {committed}"
    )


def progress_rows(name: str, results: Sequence[Result]) -> list[Row]:
    """Figures and the picture."""
    if not results:
        return [row("", progress_lines(name, results)[0])]
    words = progress_lines(name, results)
    figures = words[: words.index("")]
    rows = [row("SO FAR" if not at else "", text) for at, text in enumerate(figures)]
    rows.append(row("", ""))
    rows += [row("PACE" if not at else "", line) for at, line in enumerate(picture_lines(results[-WIDEST_PICTURE:]))]
    return rows


def result_line(number: int, result: Result) -> str:
    """A kept session in one line."""
    solved = "solved" if result.solved else "not solved"
    proven = ", proven" if result.proven else ""
    return (
        f"{result.at[:10]}  {result.level:<14} car {result.seed:<7} {solved}{proven}, "
        f"{result.minutes:.0f} min to the program's {result.program_minutes:.0f}"
    )
