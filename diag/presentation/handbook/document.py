"""A handbook as plain blocks, which the writers lay out as one HTML page or as Markdown."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Link:
    """Words that lead to a section by its name; without a name they are only words."""

    words: str
    to: str = ""


Text = str | Link


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One paragraph; ``strong`` for what must not be overlooked."""

    words: tuple[Text, ...]
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Listing:
    """A list of lines under a short title; numbered where the order counts."""

    title: str
    lines: tuple[tuple[Text, ...], ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Headings and rows under a short title."""

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[Text, ...], ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """An SVG drawing and the same in words, for Markdown and for those who cannot see it."""

    svg: str
    words: str


Block = Paragraph | Listing | Table | Picture


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with its name for links, what stands under it, and its sections."""

    name: str
    title: str
    blocks: tuple[Block, ...] = ()
    parts: tuple[Section, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class Handbook:
    """Title, what stands before the first chapter, and the chapters."""

    title: str
    front: tuple[Block, ...]
    chapters: tuple[Section, ...]


def words_of(text: Text) -> str:
    """The words alone."""
    return text.words if isinstance(text, Link) else text


def lines(title: str, texts: tuple[str, ...] | list[str], numbered: bool = False) -> tuple[Block, ...]:
    """A list of plain lines, or nothing when there are none."""
    return (Listing(title, tuple((text,) for text in texts), numbered),) if texts else ()
