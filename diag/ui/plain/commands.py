"""The words one can say at any prompt. Each names what it does in one line; ``help`` is made from this table."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module

from diag.ui.plain.room import Room

Act = Callable[["Room", str], None]


@dataclass(frozen=True, slots=True)
class Command:
    """One command: its word, what may follow it, what it does, where that is written, and other words for it."""

    name: str
    after: str
    about: str
    where: str  # module:function
    also: tuple[str, ...] = ()

    @property
    def act(self) -> Act:
        """The function."""
        module, _, function = self.where.partition(":")
        found: Act = getattr(import_module(f"diag.ui.plain.{module}"), function)
        return found


_LIST = (
    # answering
    Command("done", "[MINUTES] or all", "the step was carried out; all: with those that follow it", "working:done"),
    Command("skip", "", "leave this question out; of several put together, or a deed, the step", "working:skip"),
    Command("cannot", "[WHY]", "this step cannot be done here", "working:cannot", ("can't", "cant")),
    Command("later", "[WHY]", "not now", "working:later"),
    Command("one", "by one", "the questions of a check or look-over asked one at a time", "working:one_by_one"),
    Command("tell", "WORDS", "tell something nobody asked for, in everyday words", "telling:tell", ("find", "/")),
    Command("log", "FILE", "read a data log (CSV, TSV) into this job, once its columns are confirmed", "logroom:log"),
    Command("still", "", "after a repair: say which complaints are still there", "telling:still"),
    # looking
    Command("why", "", "all reasons for this step", "looking:why"),
    Command("steps", "", "the steps again", "looking:steps"),
    Command("aloud", "", "the steps as read aloud on the phone", "looking:aloud"),
    Command("cautions", "", "the cautions of this step in full", "looking:cautions", ("caution",)),
    Command("stops", "", "what must not be done now, and until when", "looking:stops", ("stop",)),
    Command("causes", "[HOW MANY]", "the ranking", "looking:causes", ("ranking",)),
    Command("cause", "NUMBER or WORDS", "one cause: reasons for and against, predicted and read", "looking:cause"),
    Command("readings", "", "every value read, beside what a sound car and the leading causes would show",
            "looking:readings"),
    Command("drawing", "", "this car's fuel system: what is where, read, wet and suspected", "looking:drawing",
            ("draw", "where")),
    Command("change", "", "what the last answer changed", "looking:change"),
    Command("others", "", "other steps, what they tell and what they take", "looking:others"),
    Command("do", "NUMBER or WORDS", "choose a step yourself", "working:choose"),
    Command("entries", "", "everything told so far", "looking:entries"),
    # second thoughts
    Command("undo", "", "take the last answer back", "changing:undo", ("back",)),
    Command("take", "back NUMBER [WHY]", "take an earlier entry back", "changing:take_back"),
    Command("edit", "NUMBER = ANSWER", "give an earlier question another answer", "changing:edit"),
    Command("what", "if NUMBER = ANSWER", "what another answer would do, without giving it", "changing:what_if"),
    # the car and the people
    Command("car", "[FIELD = VALUE]", "what is known of the car; fill in or change", "telling:car"),
    Command("person", "[WORDS]", "who is at the car and what they have, in one line", "opening:ask_person", ("who",)),
    Command("no", "TOOL", "a tool or helper that is not at hand, such as no gauge", "opening:tool_missing"),
    Command("have", "TOOL", "a tool that is at hand after all", "opening:tool_there"),
    Command("note", "TEXT", "write a note into the job", "closing:note"),
    Command("keep", "photo|mark|bought|inside TEXT", "for the report on a suspect part", "closing:keep"),
    Command("time", "", "minutes since the job was opened", "looking:time"),
    # ending
    Command("finish", "", "how the job ended, with a summary to read back", "closing:finish", ("outcome",)),
    Command("status", "open|waiting|closed [TEXT]", "where the job stands for the workshop", "closing:status"),
    Command("hand", "over NAME [: TEXT]", "give the job to somebody else, with a note", "closing:hand_over"),
    Command("waits", "", "who waits for what: parts, tools, steps put off, what must be dry first", "closing:waits"),
    Command("send", "workshop|customer", "the note, ready to send, with what could not be placed", "closing:send"),
    Command("summary", "", "what to read back to the other person", "closing:summary"),
    Command("report", "[customer|workshop]", "the whole job as text", "closing:report"),
    # beside the job
    Command("desk", "[QUESTION]", "design questions: return, range, injectors, pump, wire, sensor", "deskroom:desk"),
    Command("shop", "[WORDS]", "shop procedures, such as setting base pressure", "looking:shop", ("procedures",)),
    Command("jobs", "[WORDS]", "the jobs at hand and all others", "joblist:jobs"),
    Command("board", "[WORDS]", "on a team's server: who has which call, since when, waiting for what",
            "teamroom:board"),
    Command("switch", "NUMBER or NAME", "turn to another job", "joblist:switch"),
    Command("new", "[TITLE]", "begin another job", "joblist:new"),
    Command("help", "[WORD]", "this list; ? explains the question", "looking:help_me", ("h", "commands")),
    Command("quit", "", "end; what could not be saved is shown first", "looking:quit_now", ("exit", "q", "end", "bye")),
)  # fmt: skip

COMMANDS: dict[str, Command] = {word: c for c in _LIST for word in (c.name, *c.also)}
"""Every word with its command."""


_NOT_SEEN = re.compile(
    r"(?:(?:i|we|he|she|they) )?(?:can ?not|can'?t|could(?: not|n'?t)) (?:be )?(?:see|seen|tell|told|say|remember|hear|"
    r"know|smell)\b",
    re.IGNORECASE,
)
_REFUSES = re.compile(
    r"(?:no[,;]? )?(?:sorry[,;]? )?(?:(?:i|we|he|she|they) )?(?:can ?not|can'?t|could(?: not|n'?t)|(?:am |are |"
    r"'m |is )?"
    r"(?:unable to|not able to)|(?:it is |it's |is |that is |that's )?(?:impossible|not possible)|no way of doing)"
    r"(?: do (?:it|this|that)|(?= )|(?=[,;:.-])|$)",
    re.IGNORECASE,
)


def command_of(line: str) -> tuple[Command, str] | None:
    """The command a line begins with, and the rest of it; None when it begins with none."""
    first, _, rest = line.strip().partition(" ")
    if first.startswith("/") and len(first) > 1:
        return COMMANDS["tell"], line.strip()[1:].strip()
    if _NOT_SEEN.match(line.strip()):
        return None
    refused = _REFUSES.match(line.strip())
    if refused is not None:
        return COMMANDS["cannot"], line.strip()[refused.end() :].strip(" ,;:.-")
    command = COMMANDS.get(first.casefold().rstrip(":"))
    return (command, rest.strip()) if command is not None else None


def listed() -> list[Command]:
    """The commands in the order of the help."""
    return list(_LIST)
