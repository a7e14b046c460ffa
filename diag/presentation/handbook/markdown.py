"""The handbook as Markdown; pictures are told in words."""

from __future__ import annotations

from collections.abc import Iterable

from diag.presentation.handbook.document import Block, Handbook, Listing, Paragraph, Picture, Section, Text, words_of
from diag.presentation.report.markdown import escape


def handbook_markdown(book: Handbook) -> str:
    """The whole text."""
    out = [f"# {escape(book.title)}", ""]
    for block in book.front:
        out += _block(block)
    for chapter in book.chapters:
        out += _section(chapter, 2)
    return "\n".join(out).rstrip() + "\n"


def _section(section: Section, level: int) -> list[str]:
    out = [f"{'#' * level} {escape(section.title)}", ""]
    for block in section.blocks:
        out += _block(block)
    for part in section.parts:
        out += _section(part, min(level + 1, 6))
    return out


def _words(texts: Iterable[Text]) -> str:
    return escape("".join(words_of(text) for text in texts))


def _block(block: Block) -> list[str]:
    if isinstance(block, Paragraph):
        return [f"> **{_words(block.words)}**" if block.strong else _words(block.words), ""]
    if isinstance(block, Picture):
        return []  # the table below it says the same
    title = [f"**{escape(block.title)}**", ""] if block.title else []
    if isinstance(block, Listing):
        signs = [f"{at}." if block.numbered else "-" for at in range(1, len(block.lines) + 1)]
        return [*title, *(f"{sign} {_words(line)}" for sign, line in zip(signs, block.lines, strict=True)), ""]
    head = [f"| {' | '.join(map(escape, block.headings))} |", f"|{'---|' * len(block.headings)}"]
    rows = [f"| {' | '.join(escape(words_of(cell)) for cell in row)} |" for row in block.rows]
    return [*title, *head, *rows, ""]
