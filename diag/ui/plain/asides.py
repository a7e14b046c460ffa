"""Words that work at every prompt, also in the middle of a question: help, car, jobs, quit, ?, tell, no TOOL."""

from __future__ import annotations

from diag.hearing.circumstances import tools_named
from diag.support.errors import UserError
from diag.ui.plain.commands import command_of
from diag.ui.plain.room import Room

ALONE = frozenset(("help", "car", "jobs", "quit", "exit", "entries", "causes", "stops"))
"""Commands that are taken at a question when nothing follows them, since an answer could begin with the same word."""

WITH_MORE = frozenset(("tell", "help", "note", "car"))
"""Commands that are taken at a question with what follows them."""


def aside(room: Room, line: str, prompt: str) -> bool:
    """Do what a line says beside the question; True when it was no answer to the question."""
    text = line.strip()
    if text == "?":
        room.talk.say(f"Wanted here: {prompt}. help lists what else can be said at any time.")
        return True
    found = command_of(text)
    if found is None:
        return False
    command, rest = found
    if command.name == "help" and rest and command_of(rest) is None:
        return False  # "help, it won't start" is no question about a command
    if command.name == "tell" and not room.jobs:
        return False
    bare = not rest and command.name in ALONE
    told = bool(rest) and (command.name in WITH_MORE and (command.name != "car" or "=" in rest))
    if not bare and not told:
        return False
    if command.name in ("car", "tell", "entries", "causes", "stops", "note") and not room.jobs:
        room.talk.say("There is no job yet. Say what is wrong, or jobs for those in the folder.")
        return True
    try:
        command.act(room, rest)
    except UserError as error:
        room.talk.say(error.one_line())
    return True


def is_command(text: str) -> bool:
    """Whether a line is a command where places are asked about: "no gauge" is one, "no drips" is not."""
    found = command_of(text)
    return found is not None and (found[0].name != "no" or names_tools_only(found[1]))


def speaks_of_tools(text: str) -> bool:
    """Whether words name a tool or a helper at all."""
    return bool(tools_named(text)) or "tool" in text.casefold() or "nobody" in text.casefold()


def names_tools_only(text: str) -> bool:
    """Whether words name tools and nothing else, so that "no gauge" is about a tool and no answer."""
    words = [word for word in text.casefold().replace(",", " ").split() if word not in ("a", "an", "or", "and", "any")]
    return 0 < len(words) <= 6 and bool(tools_named(text))
