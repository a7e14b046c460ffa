"""From YAML nodes to entries: every field checked, every problem collected with its place."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from diag.casework.casevalues import Unreadable, Values, plain
from diag.casework.entries import Case, Entry, Replaced, Retracted, Unread
from diag.casework.ids import is_case_id
from diag.casework.kinds import BY_WORD, COMMON_KEYS, KINDS, FieldSpec, KindSpec
from diag.casework.problems import Problems, as_case_error
from diag.quantities import units_of
from diag.quantities.kinds import find_unit
from diag.support.errors import Place, SourceError
from diag.support.text import one_line
from diag.support.yaml.reader import Map, Node, Scalar, Seq

HEADER_KEYS = ("format", "case", "title", "opened", "book", "unit_pressure", "entries")
USUAL_UNIT = "psi"
MOST_ENTRIES = 5_000  # a long job has some hundred
_VERSION = re.compile(r"(\d{1,4})(?:\.(\d{1,4}))?\Z")


class Reader:
    """Turns nodes into a Case, noting problems and the place of every entry."""

    def __init__(self, problems: Problems) -> None:
        self.problems = problems
        self._values = Values(problems)
        self.places: dict[int, Place] = {}
        self.header_read = False

    # --- the file ---------------------------------------------------------------------------------------------

    def version(self, root: Map) -> tuple[int, int]:
        """Major and minor format version; (-1, 0) with a problem when there is none."""
        node = root.items.get("format")
        found = _VERSION.match(node.text) if isinstance(node, Scalar) else None
        if found is None:
            self.problems.say("The format version is missing or unreadable.", "Begin the file with: format: 1",
                              node.place if node else root.place)  # fmt: skip
            return -1, 0
        return int(found[1]), int(found[2] or 0)

    def case(self, root: Map, major: int, minor: int) -> Case:
        """The case from a readable file."""
        listed = root.items.get("entries")
        entries: Sequence[Node] = ()
        if isinstance(listed, Seq):
            entries = listed.items
        elif listed is not None and not (isinstance(listed, Scalar) and listed.empty):
            self.problems.say("'entries' must be a list.", "Each entry begins with a dash.", listed.place)
        return self.case_from(dict(root.items), entries, major, minor)

    def case_from(self, header: Mapping[str, Node], entries: Sequence[Node], major: int, minor: int) -> Case:
        """The case from header fields and entry nodes, however they were found."""
        case_id = self._values.line(header, "case")
        if case_id is not None and not is_case_id(case_id):
            self.problems.say(f"{one_line(case_id, 60)!r} cannot be a case's name.",
                              "Use small letters, digits and dashes only.", header["case"].place)  # fmt: skip
            case_id = None
        opened = self._values.time(header.get("opened"), "opened")
        book = header.get("book")
        version = fingerprint = ""
        if isinstance(book, Map):
            version = self._values.line(book.items, "version", "") or ""
            fingerprint = self._values.line(book.items, "fingerprint", "") or ""
        elif book is not None:
            self.problems.say("'book' must hold version and fingerprint.", "", book.place)
        self.header_read = case_id is not None
        extra = {key: plain(node) for key, node in header.items() if key not in HEADER_KEYS}
        for key in extra:
            self.problems.note(f"The field {key!r} is not known to this program; it is kept.", "", header[key].place)
        case = Case(
            id=case_id or "",
            title=self._values.line(header, "title", "") or "",
            opened=opened or "",  # made good below, or a readable part once accepted would be refused next time
            book_version=version,
            book_fingerprint=fingerprint,
            unit_pressure=self._unit(header),
            format=major,
            entries=self._entries(entries),
            minor=minor,
            extra=extra,
        )
        return case if case.opened else replace(case, opened=_first_time(case))

    def _unit(self, header: Mapping[str, Node]) -> str:
        """The unit of pressures typed without one; what nobody knows is a problem, since figures depend on it."""
        unit = self._values.line(header, "unit_pressure", USUAL_UNIT) or USUAL_UNIT
        if find_unit(unit, "pressure") is not None:
            return unit
        known = ", ".join(units_of("pressure")[:4])
        self.problems.say(f"There is no unit of pressure called {one_line(unit, 40)!r}.", f"Use one of: {known}.",
                          header["unit_pressure"].place)  # fmt: skip
        return USUAL_UNIT

    # --- entries ----------------------------------------------------------------------------------------------

    def _entries(self, nodes: Sequence[Node]) -> tuple[Entry, ...]:
        """Every readable entry; numbers that clash (two copies merged by hand) get new ones."""
        read: list[tuple[Entry, Place]] = []
        if len(nodes) > MOST_ENTRIES:
            self.problems.say(f"More than {MOST_ENTRIES} entries.", "Split the job.", nodes[MOST_ENTRIES].place)
        for node in nodes[:MOST_ENTRIES]:
            try:
                entry = self._entry(node)
            except Unreadable:
                continue
            except SourceError as error:
                self.problems.add(as_case_error(error))
                continue
            self.places.setdefault(entry.number, node.place)
            read.append((entry, node.place))
        return self._numbered(read)

    def _numbered(self, read: list[tuple[Entry, Place]]) -> tuple[Entry, ...]:
        """Numbers must rise; entries that do not are a problem and are moved to the end in the salvage."""
        last, good, moved = 0, [], []
        top = max((entry.number for entry, _ in read), default=0)
        shift: dict[int, int] = {}
        for entry, place in read:
            if entry.number > last:
                last = entry.number
                good.append(_retargeted(entry, shift))
                continue
            self.problems.say(
                f"Entry number {entry.number} comes after entry {last}.",
                "Numbers must rise; if two people's copies were joined, give the later entries new numbers.",
                place,
            )
            top += 1
            shift[entry.number] = top
            moved.append(_retargeted(_renumbered(entry, top), shift))
        numbers = {entry.number for entry in good} | {entry.number for entry in moved}
        for entry in good:
            target = entry.target if isinstance(entry, Retracted | Replaced) else None
            if target is not None and (target not in numbers or target >= entry.number):
                self.problems.note(f"Entry {entry.number} speaks of entry {target}, which is not before it.",
                                   "It has no effect.", self.places.get(entry.number))  # fmt: skip
        return tuple(good) + tuple(moved)

    def _entry(self, node: Node, outer: tuple[int, str, str] | None = None) -> Entry:
        """One entry; ``outer`` gives number, time and person that a nested entry may leave out."""
        if not isinstance(node, Map):
            raise self._values.bad(
                "An entry must be a list of fields.", "For example: entry, at, who, kind.", node.place
            )
        items = node.items
        number = self._values.whole(items, "entry", node, outer[0] if outer else None)
        at = self._values.time(items.get("at"), "at", node, outer[1] if outer else None)
        who = self._values.line(items, "who", outer[2] if outer else None, node)
        word = self._values.line(items, "kind", None, node)
        if at is None or who is None or word is None:
            raise Unreadable
        spec = BY_WORD.get(word)
        if spec is None:
            extra = {key: plain(value) for key, value in items.items() if key not in COMMON_KEYS}
            known = ", ".join(kind.word for kind in KINDS)
            self.problems.note(f"The entry kind {one_line(word, 40)!r} is not known to this program; it is kept.",
                               f"Known kinds: {known}.", items["kind"].place)  # fmt: skip
            return Unread(number, at, who, word, extra=extra)
        values = {item.attr: self._field(items, item, node, spec, (number, at, who)) for item in spec.fields}
        known_keys = {item.key for item in spec.fields} | set(COMMON_KEYS)
        extra = {}
        for key, value in items.items():
            if key not in known_keys:
                extra[key] = plain(value)
                self.problems.note(f"The field {key!r} is not known to this program; it is kept.", "", value.place)
        return spec.cls(number=number, at=at, who=who, extra=extra, **values)

    def _field(
        self, items: Mapping[str, Node], item: FieldSpec, node: Map, spec: KindSpec, common: tuple[int, str, str]
    ) -> object:
        """The value of one field, or its default."""
        found = items.get(item.key)
        if found is None or (isinstance(found, Scalar) and found.empty and item.shape != "lines"):
            if item.attr in ("low", "high") and "value" in items:
                return self._values.number(items["value"], "value")
            if item.optional:
                return item.default
            raise self._values.bad(f"The field {item.key!r} is missing from this {spec.word} entry.", "", node.place)
        if item.shape in ("line", "text"):
            return self._values.text(found, item.key)
        if item.shape == "choice":
            text = self._values.text(found, item.key)
            if text not in item.choices:
                allowed = ", ".join(choice for choice in item.choices if choice)
                raise self._values.bad(f"{item.key!r} cannot be {one_line(text, 40)!r}.", f"Use one of: {allowed}.",
                                found.place)  # fmt: skip
            return text
        if item.shape == "number":
            return self._values.number(found, item.key, *item.limits)
        if item.shape == "whole":
            return self._values.whole(items, item.key, node)
        if item.shape == "flag":
            return self._values.flag(found, item.key)
        if item.shape == "lines":
            return self._values.lines(found, item.key)
        if item.shape == "numbers":
            return self._values.numbers(found, item.key, *item.limits)
        target = self._values.whole(items, "target", node)
        return self._entry(found, (target, common[1], common[2]))


def _first_time(case: Case) -> str:
    """When a job was opened that does not say so: its first entry, else the day in its name, else long ago."""
    if case.entries:
        return case.entries[0].at
    try:
        return f"{date.fromisoformat(case.id[:10]).isoformat()}T00:00:00Z"
    except ValueError:
        return "1970-01-01T00:00:00Z"


def _renumbered(entry: Entry, number: int) -> Entry:
    return replace(entry, number=number)


def _retargeted(entry: Entry, shift: Mapping[int, int]) -> Entry:
    if isinstance(entry, Retracted | Replaced) and entry.target in shift:
        return replace(entry, target=shift[entry.target])
    return entry
