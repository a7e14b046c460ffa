"""The handbook as one HTML file: no scripts, nothing fetched, every text escaped, fit for paper."""

from __future__ import annotations

import html
from collections.abc import Iterable

from diag.presentation.handbook.document import (
    Block,
    Handbook,
    Link,
    Listing,
    Paragraph,
    Picture,
    Section,
    Table,
    Text,
)
from diag.support.text import one_line

_CSS = """
:root{color-scheme:light}
body{font:15px/1.45 sans-serif;color:#111;background:#fff;max-width:52rem;margin:1rem auto;padding:0 1rem}
h1{font-size:1.7rem}h2{font-size:1.35rem;border-bottom:2px solid #111;margin-top:2.5rem}
h3{font-size:1.1rem;border-bottom:1px solid #999;margin-top:1.6rem}h4{font-size:1rem;margin:1.2rem 0 .2rem}
p{margin:.3rem 0}ul,ol{margin:.2rem 0;padding-left:1.5rem}a{color:#111}
table{border-collapse:collapse;width:100%;margin:.3rem 0}
td,th{border:1px solid #999;padding:.1rem .4rem;text-align:left;vertical-align:top}
svg{max-width:100%;height:auto}.strong{border:3px double #111;padding:.4rem .8rem}
@page{size:A4;margin:14mm}
@media print{body{font-size:9pt;max-width:none;margin:0;padding:0}h2{break-before:page}
h3,h4{break-after:avoid}svg,tr,.strong{break-inside:avoid}a{text-decoration:none}}
"""


def handbook_page(book: Handbook) -> str:
    """The whole page."""
    names = {section.name for chapter in book.chapters for section in _all(chapter)}
    body = [f"<h1>{_e(book.title)}</h1>", *(_block(block, names) for block in book.front)]
    items = "".join(f'<li><a href="#{_e(c.name)}">{_e(c.title)}</a></li>' for c in book.chapters)
    body.append(f"<ol>{items}</ol>")
    for chapter in book.chapters:
        body += _section(chapter, 2, names)
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{_e(book.title)}</title><style>{_CSS}</style></head><body>\n" + "\n".join(body) + "\n</body></html>\n"
    )


def _all(section: Section) -> Iterable[Section]:
    yield section
    for part in section.parts:
        yield from _all(part)


def _e(text: str) -> str:
    return html.escape(one_line(text, 4000), quote=True)


def _section(section: Section, level: int, names: set[str]) -> list[str]:
    parts = [f'<h{level} id="{_e(section.name)}">{_e(section.title)}</h{level}>']
    parts += [_block(block, names) for block in section.blocks]
    for part in section.parts:
        parts += _section(part, min(level + 1, 5), names)
    return parts


def _words(texts: Iterable[Text], names: set[str]) -> str:
    shown = []
    for text in texts:
        if isinstance(text, Link) and text.to in names:
            shown.append(f'<a href="#{_e(text.to)}">{_e(text.words)}</a>')
        else:
            words = text.words if isinstance(text, Link) else text
            shown.append(_e(words) + " " * words.endswith(" "))  # what follows stands apart from it
    return "".join(shown)


def _block(block: Block, names: set[str]) -> str:
    if isinstance(block, Paragraph):
        kind = ' class="strong"' if block.strong else ""
        return f"<p{kind}>{_words(block.words, names)}</p>"
    if isinstance(block, Picture):
        return block.svg
    title = f"<p><b>{_e(block.title)}</b></p>" if block.title else ""
    if isinstance(block, Listing):
        tag = "ol" if block.numbered else "ul"
        items = "".join(f"<li>{_words(line, names)}</li>" for line in block.lines)
        return f"{title}<{tag}>{items}</{tag}>"
    return title + _table(block, names)


def _table(block: Table, names: set[str]) -> str:
    head = "".join(f"<th>{_e(cell)}</th>" for cell in block.headings)
    rows = "".join(
        "<tr>" + "".join(f"<td>{_words([cell], names)}</td>" for cell in row) + "</tr>" for row in block.rows
    )
    return f"<table><tr>{head}</tr>{rows}</table>"
