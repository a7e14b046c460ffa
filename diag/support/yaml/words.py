"""The YAML parser's complaints in plain words."""

from __future__ import annotations

# A part of the parser's message (either parser) -> what to say, what to do.
_WORDS: tuple[tuple[str, str, str], ...] = (
    ("\\t", "There is a tab here.", "Indent with spaces."),
    ("tab character", "There is a tab here.", "Indent with spaces."),
    ("mapping values are not allowed", "There is a second colon in this line.", "Put text that holds ': ' in quotes."),
    ("expected ':'", "There is a line here without 'key: value'.", "Add the colon, or indent text that goes on."),
    ("expected <block end>", "This line does not fit the indentation above it.", "Line it up with its neighbours."),
    (
        "did not find expected key",
        "This line does not fit the lines above it.",
        "Check the indentation and the quotes.",
    ),
    ("did not find expected '-' indicator", "This line does not fit the list above it.", "Check the indentation."),
    ("block sequence entries are not allowed", "A list cannot start here.", "Start it on a line of its own."),
    ("',' or ']'", "A list in [ ] is not closed, or a comma is missing.", "Add it; quote text that holds a comma."),
    ("',' or '}'", "A map in { } is not closed, or a comma is missing.", "Add it; quote text that holds a comma."),
    (
        "expected node content",
        "A value is missing here, or a bracket is out of place.",
        "Put text with brackets in quotes.",
    ),
    ("unexpected end of stream", "A quoted text is not closed.", "Add the closing quote."),
    ("unknown escape character", "This backslash stands for nothing.", "Write it twice, or use single quotes."),
    ("escape sequence", "This escape stands for no character.", "Write the character itself."),
    ("hexdecimal", "This escape is not complete.", "Write the character itself."),
    ("hexadecimal", "This escape is not complete.", "Write the character itself."),
    ("Unicode character code", "This escape stands for no character.", "Write the character itself."),
    ("document separator", "A '---' or '...' line stands inside a quoted text.", "Close the quote before it."),
    ("<document start>", "More text follows where the document should end.", "Check the indentation of this line."),
    ("document start", "More text follows where the document should end.", "Check the indentation of this line."),
    ("duplicate anchor", "Anchors are not allowed.", "Write the text out."),
    ("tag", "Tags are not allowed.", "Put text that starts with '!' in quotes."),
    ("anchor", "Anchors and aliases are not allowed.", "Put text that starts with '&' or '*' in quotes."),
    ("alias", "Anchors and aliases are not allowed.", "Put text that starts with '&' or '*' in quotes."),
    ("directive", "A line that starts with '%' is not allowed here.", "Put the text in quotes."),
    ("cannot start any token", "A text cannot start with this character.", "Put the text in quotes."),
    ("block scalar", "The line after '|' or '>' is not right.", "Put the text on the next line, indented."),
    ("flow", "The brackets here go too deep or do not match.", "Close what is open."),
    ("nesting", "This is nested too deep.", "Flatten it."),
    ("control characters", "There is a control character here.", "Remove it."),
)


def plain_words(problem: str) -> tuple[str, str]:
    """What is wrong and what to do, for a message of the YAML parser."""
    for part, what, hint in _WORDS:
        if part in problem:
            return what, hint
    return "This line cannot be read as YAML.", "Check its indentation, colons and quotes."
