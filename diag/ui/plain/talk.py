"""Lines out and lines in: the only place of this package that touches standard input and output."""

from __future__ import annotations

import contextlib
import shutil
import sys
import textwrap
from collections.abc import Callable, Iterable, Sequence
from typing import TextIO

from diag.support.disk.failures import storage_error
from diag.support.text import clean, numbered, one_line

LONGEST_ANSWER = 4000
WIDEST = 78
DEEPEST = 8  # asides within asides; whoever nests deeper is answered by the innermost question


class Talk:
    """A line-by-line conversation.

    Args:
        read: gives the next line without its end, or None when the input has ended.
        write: takes text that is already clean.
        width: where lines are folded; 0 leaves every paragraph on one line, as pipes and programs like it.
        echo: repeat each answer, so that a transcript of piped input can be followed.
    """

    def __init__(
        self, read: Callable[[], str | None], write: Callable[[str], None], width: int = 0, echo: bool = False
    ) -> None:
        self._read = read
        self._write = write
        self.width = width
        self.echo = echo
        self.ended = False
        self.leaving = False  # the person said quit: nothing more is asked until it is settled
        self.aside: Callable[[str, str], bool] | None = None  # takes what is no answer; True when it did
        self._asides = 0  # how many asides are open, one inside the other

    @classmethod
    def standard(cls) -> Talk:
        """This process's standard input and output."""
        for stream in (sys.stdin, sys.stdout):
            with contextlib.suppress(AttributeError, ValueError):
                stream.reconfigure(errors="replace")  # type: ignore[union-attr]
        terminal = sys.stdin.isatty() and sys.stdout.isatty()
        width = min(shutil.get_terminal_size((80, 24)).columns - 1, WIDEST) if sys.stdout.isatty() else 0

        def write(text: str) -> None:
            try:
                sys.stdout.write(text)
                sys.stdout.flush()
            except OSError as error:
                # Going on would take answers to questions that nobody hears.
                raise storage_error("Cannot go on", "standard output", error) from error

        return cls(lambda: line_from(sys.stdin), write, max(width, 0), echo=not terminal)

    def say(self, text: str = "", indent: str = "") -> None:
        """One paragraph; line ends inside it begin new lines."""
        for line in clean(text, 20_000).split("\n"):
            if self.width > 20 and len(line) + len(indent) > self.width:
                hang = indent + "  " if line[:2] in ("- ", "! ") or line[:1].isdigit() else indent
                folded = textwrap.wrap(
                    line, self.width, initial_indent=indent, subsequent_indent=hang, break_on_hyphens=False
                )
                self._write("\n".join(folded) + "\n")
            else:
                self._write(f"{indent}{line}".rstrip() + "\n")

    def lines(self, lines: Iterable[str], indent: str = "") -> None:
        """Several paragraphs."""
        for line in lines:
            self.say(line, indent)

    def ask(self, prompt: str = "", turn: bool = False) -> str | None:
        """The next answer, clean and on one line; None when the input has ended or the person is leaving.

        Args:
            turn: at the prompt of a turn every command is taken anyway; elsewhere ``aside`` is asked first.
        """
        while not self.leaving:
            answer = self._line(prompt)
            if answer is None or turn or self.aside is None or self._asides >= DEEPEST:
                return answer
            self._asides += 1
            try:
                if not self.aside(answer, prompt):
                    return answer
            finally:
                self._asides -= 1
        return None

    def _line(self, prompt: str) -> str | None:
        shown = one_line(prompt, 300)
        self._write(f"{shown}{' ' if shown else ''}> ")
        line = None if self.ended else self._read()
        if line is None:
            self.ended = True
            self._write("\n")
            return None
        answer = one_line(line, LONGEST_ANSWER)
        if self.echo:
            self._write(answer + "\n")
        return answer

    def choose(self, prompt: str, options: Sequence[str], default: int | None = None) -> int | None:
        """One of several options, asked again until it is clear; None for Enter without a default, or the end."""
        # a transcript without a list does not wait for it
        from diag.session.answers import picked

        self.lines(numbered(options))
        hint = f"{prompt}, Enter for {options[default]}" if default is not None else f"{prompt}, Enter for none"
        for _ in range(20):
            answer = self.ask(hint)
            if answer is None or not answer:
                return None if answer is None else default
            found = picked(answer, options)
            if found is not None:
                return found
            self.say(f"Say a number from 1 to {len(options)}, or the words.")
        return default


def line_from(stream: TextIO) -> str | None:
    """The next line of a stream without its end, None at the end; what is too long for an answer is dropped."""
    line = stream.readline(LONGEST_ANSWER)
    if not line:
        return None
    rest = line
    while rest and not rest.endswith("\n"):
        rest = stream.readline(LONGEST_ANSWER)
    return line.rstrip("\r\n")
