"""A case as YAML text and back.

    format: 1                 major, or "major.minor"; a newer minor only adds fields, which are kept
    case: 2026-11-25-wren-3f7a
    title: ...
    opened: "2026-11-25T09:12:00Z"
    book: {version, fingerprint}      the rule book the job was last worked with
    unit_pressure: psi                the unit of pressures typed without one
    entries:                          append-only; kinds and fields in diag/casework/kinds.py
      - entry: 1
        at: "2026-11-25T09:12:40Z"
        who: Ann
        kind: reading
        ...
    ...                               the end mark: a file without it may have been cut off

Reading never throws a readable entry away: what cannot be read is named with file, line and column, and the rest is
offered as ``salvage``. Nothing here touches the disk.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from diag.casework.casenodes import Reader
from diag.casework.casevalues import plain
from diag.casework.entries import Case, Entry, Replaced, Unread
from diag.casework.kinds import BY_CLASS, FieldSpec
from diag.casework.problems import Problems, as_case_error
from diag.casework.salvage import pieces
from diag.support.errors import CaseFileError, Place, SourceError
from diag.support.text import clean
from diag.support.yaml.reader import MAX_SCALAR, MAX_SIZE, Map, dump_yaml, read_yaml

FORMAT = 1
MINOR = 0
MAX_TEXT = MAX_SIZE  # characters in a file
MOST_BYTES = 4 * MAX_TEXT  # what that many characters take at most as UTF-8
END = "...\n"
HEAD = (
    "# One job. Entries are only ever added: correct one by adding 'taken-back' or 'replaced'.\n"
    "# 'typed' is what was typed; value, low and high are SI (pascals, metres, seconds, kelvins, amps).\n"
)

Migration = Callable[[dict[str, object]], dict[str, object]]
MIGRATIONS: Mapping[int, Migration] = {}
"""From major format n to n + 1, on plain data. Format 1 is the first, so none is needed yet."""


@dataclass(frozen=True, slots=True)
class ReadResult:
    """What came out of a file.

    ``case`` is None when the file cannot be taken as it stands; then ``salvage`` holds what could be read, or None
    when that is nothing. ``notes`` do not hinder (an entry kind only a newer program knows, a missing end mark).
    """

    case: Case | None
    problems: tuple[CaseFileError, ...] = ()
    salvage: Case | None = None
    notes: tuple[CaseFileError, ...] = ()
    places: Mapping[int, Place] = field(default_factory=dict)
    newer: bool = False  # written by a newer major version: to be looked at, never written over

    def whole(self) -> Case:
        """The case, or the first problem raised as CaseFileError."""
        if self.case is None:
            raise self.problems[0]
        return self.case

    def best(self) -> Case | None:
        """The case if it is whole, else the readable part."""
        return self.case or self.salvage


def read_case(text: str, file: str = "case", migrations: Mapping[int, Migration] | None = None) -> ReadResult:
    """Read one case file's text; never raises for bad text, every problem is in the result."""
    steps = MIGRATIONS if migrations is None else migrations
    problems = Problems(file)
    try:
        # Our own remarks at the top say nothing; blank lines in their place keep all line numbers.
        root = read_yaml(text.replace(HEAD, "\n" * HEAD.count("\n"), 1), file)
    except SourceError as error:
        problems.add(as_case_error(error))
        return _salvaged(text, problems)
    if not isinstance(root, Map):
        problems.say("This is not a case file.", "A case file begins with the line: format: 1", root.place)
        return ReadResult(None, problems.found)
    reader = Reader(problems)
    major, minor = reader.version(root)
    if major > FORMAT:
        problems.say(
            f"The file was written by a newer program (format {major}; this program reads up to {FORMAT}).",
            "Open it with the newer program; what this one understands can be looked at, not changed.",
            root.places.get("format"),
        )
    elif 0 <= major < FORMAT or (major in steps and steps is not MIGRATIONS):
        root = _migrated(root, major, steps, file, problems)
    _look_for_end(text, problems)
    case = reader.case(root, FORMAT, minor)
    return replace(_result(case, reader, problems), newer=major > FORMAT)


def _result(case: Case, reader: Reader, problems: Problems) -> ReadResult:
    """Whole when nothing was wrong; otherwise the same case as salvage."""
    if not problems.found:
        return ReadResult(case, (), None, problems.notes, reader.places)
    worth_offering = bool(case.entries) or reader.header_read
    return ReadResult(None, problems.found, case if worth_offering else None, problems.notes, reader.places)


def _salvaged(text: str, problems: Problems) -> ReadResult:
    """The file is broken YAML: read header fields and entries one by one."""
    reader = Reader(problems)
    _look_for_end(text, problems)
    header, entries = pieces(text, problems)
    case = reader.case_from(header, entries, FORMAT, MINOR)
    return _result(case, reader, problems)


def _migrated(root: Map, major: int, steps: Mapping[int, Migration], file: str, problems: Problems) -> Map:
    """Lift an older format step by step; positions afterwards are those of the lifted text."""
    data = plain(root)
    assert isinstance(data, dict)
    for version in range(major, FORMAT):
        if version not in steps:
            problems.say(f"Format {version} is too old to be read.", "Convert it with an older program first.",
                         root.places.get("format"))  # fmt: skip
            return root
        data = steps[version](data)
    lifted = read_yaml(dump_yaml(data), f"{file} (lifted from format {major})")
    return lifted if isinstance(lifted, Map) else root


def _look_for_end(text: str, problems: Problems) -> None:
    """A copy that was cut off must not pass for the whole job."""
    lines = text.split("\n")
    if any(line.rstrip() == "..." for line in lines[-20:]):
        return
    last = max(len(lines) - (0 if lines[-1] else 1), 1)
    place = Place(problems.file, last, 1)
    if lines[-1]:
        problems.say("The file stops in the middle of its last line.",
                     "It may have been cut off while copying; check the last entry, then end the file with a line "
                     "holding only three dots.", place)  # fmt: skip
    else:
        problems.note("The end mark (a line with three dots) is missing.",
                      "If the file was cut off while copying, entries after this line are gone.", place)  # fmt: skip


# --- writing -------------------------------------------------------------------------------------------------------


def write_case(case: Case) -> str:
    """The whole file. ``read_case(write_case(case)).case == case`` for every case without control characters."""
    return HEAD + dump_yaml(_header(case) | {"entries": [_plain_entry(entry) for entry in case.entries]}) + END


def head_of(case: Case) -> str:
    """The file up to its entries."""
    return HEAD + dump_yaml(_header(case))


def piece_of(entry: Entry) -> str:
    """The piece of the file that holds one entry."""
    return dump_yaml({"entries": [_plain_entry(entry)]}).split("\n", 1)[1]


def put_together(head: str, pieces: Sequence[str]) -> str:
    """The whole file: ``put_together(head_of(case), map(piece_of, case.entries)) == write_case(case)``."""
    return head + ("entries:\n" + "".join(pieces) if pieces else "entries: []\n") + END


def kind_of(entry: Entry) -> str:
    """The word for its kind in the file."""
    spec = BY_CLASS.get(type(entry))
    return spec.word if spec else entry.kind if isinstance(entry, Unread) else "note"


def continue_text(old_text: str, old: Case, new: Case) -> str:
    """Text for ``new``: the old text with the new entries added, so that hand-made comments and layout survive.

    Falls back to a full rewrite whenever that would not read back as exactly ``new``.
    """
    same_head = replace(old, entries=()) == replace(new, entries=())
    count = len(old.entries)
    if same_head and count and new.entries[:count] == old.entries and old_text.endswith(END):
        body = old_text[: -len(END)]
        added = dump_yaml({"entries": [_plain_entry(entry) for entry in new.entries[count:]]})
        indent = _list_indent(old_text)
        if len(new.entries) == count:
            return old_text
        if indent is not None and body.endswith("\n"):
            text = body + _indented(added.split("\n", 1)[1], indent) + END
            result = read_case(text)
            if result.case == new and not result.problems:
                return text
    return write_case(new)


def loses_comments(old_text: str, new_text: str) -> bool:
    """Whether a hand-written comment of the old text is missing from the new one."""

    def comments(text: str) -> set[str]:
        return {line.strip() for line in text.split("\n") if line.lstrip().startswith("#")}

    return bool(comments(old_text) - comments(new_text) - comments(HEAD))


def _header(case: Case) -> dict[str, object]:
    """Everything before the entries, in its fixed order."""
    version: object = case.format if not case.minor else f"{case.format}.{case.minor}"
    plain: dict[str, object] = {
        "format": version,
        "case": case.id,
        "title": _kept(case.title),
        "opened": case.opened,
        "book": {"version": case.book_version, "fingerprint": case.book_fingerprint},
        "unit_pressure": case.unit_pressure,
    }
    return plain | _kept_tree(case.extra)


def _plain_entry(entry: Entry, outer: Entry | None = None, target: int = 0) -> dict[str, object]:
    """One entry as plain data. Inside a replacement, what equals the outer entry is left out."""
    spec = BY_CLASS.get(type(entry))
    plain: dict[str, object] = {}
    if outer is None or entry.number != target:
        plain["entry"] = entry.number
    if outer is None or entry.at != outer.at:
        plain["at"] = entry.at
    if outer is None or entry.who != outer.who:
        plain["who"] = _kept(entry.who)
    plain["kind"] = kind_of(entry)
    for item in spec.fields if spec else ():
        value = getattr(entry, item.attr)
        if isinstance(entry, Replaced) and item.attr == "by":
            plain["by"] = _plain_entry(entry.by, entry, entry.target)
        elif not _may_be_left_out(entry, item, value):
            plain[item.key] = _plain_value(value)
    return plain | _kept_tree(entry.extra)


def _may_be_left_out(entry: Entry, item: FieldSpec, value: object) -> bool:
    """Defaults are not written, nor low and high of a plain number."""
    if item.optional and value == item.default and type(value) is type(item.default):
        return True
    return item.attr in ("low", "high") and value == getattr(entry, "value", None)


def _plain_value(value: object) -> object:
    """Tuples become lists, mappings keep their order, text is cleaned of control characters."""
    if isinstance(value, str):
        return _kept(value)
    if isinstance(value, tuple):
        return [_plain_value(part) for part in value]
    if isinstance(value, Mapping):
        return {str(key): _plain_value(part) for key, part in value.items()}
    return value


def _kept_tree(extra: Mapping[str, object]) -> dict[str, object]:
    return {key: _plain_value(list(v) if isinstance(v, list | tuple) else v) for key, v in extra.items()}


def _kept(text: str) -> str:
    """Text that the reader will accept."""
    return clean(text, MAX_SCALAR)


def _list_indent(text: str) -> int | None:
    """Spaces before the dash of the last entry, when the file ends in a block list of entries."""
    seen: int | None = None
    inside = False
    for line in text.split("\n"):
        if line.startswith("entries:"):
            inside = line.rstrip() == "entries:"
        elif inside and line.lstrip().startswith("- entry:"):
            seen = len(line) - len(line.lstrip())
        elif inside and line and not line[0].isspace() and not line.startswith(("-", "#", "...")):
            return None
    return seen


def _indented(block: str, indent: int) -> str:
    """The dumped list moved to the indentation the file uses."""
    lines = block.split("\n")
    have = next((len(line) - len(line.lstrip()) for line in lines if line.lstrip().startswith("-")), 0)
    shift = indent - have
    return "\n".join((" " * shift + line if shift >= 0 else line[-shift:]) if line else line for line in lines)
