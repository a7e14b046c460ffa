"""YAML texts -> a checked ``RuleBook``. Every problem is collected; one bad line hides no other."""

from __future__ import annotations

import gc
import hashlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from diag.rulebook.build import BUILDERS
from diag.rulebook.desk import ID_PATTERN, RESERVED_CAUSES, Desk, Problem, nearest
from diag.rulebook.knobs import read_knobs
from diag.rulebook.model import RuleBook, Term
from diag.rulebook.shapes import MISSING, ListOf, Name, Record, Text, plain_number, read_fields
from diag.rulebook.shared import Shared, read_shared
from diag.rulebook.tables import SECTIONS, SHARED_LISTS, STEP_SECTIONS, TERM, TOP_LEVEL, WORD_LISTS
from diag.support.disk.files import read_text
from diag.support.errors import Place, RuleBookError, SourceError, StorageError
from diag.support.yaml.reader import Map, Node, Scalar, Seq, read_yaml

FORMAT = 1


@dataclass
class Draft:
    """A book as far as it could be read: the objects, the nodes they came from, and every problem.

    ``nodes`` maps (section, id) to the YAML node as written, so that lint can point at a field; ``shared`` is what
    entries need not say.
    """

    book: RuleBook
    problems: list[Problem]
    nodes: Mapping[tuple[str, str], Map]
    shared: Shared
    texts: Mapping[str, str]
    unprinted: frozenset[str]  # digests of words that must not stand in a rule file
    desk: Desk = field(repr=False)

    def place(self, section: str, name: str, *path: str | int) -> Place:
        """The place of a field inside an object; of the nearest thing around it where the path ends early."""
        node: Node | None = self.nodes.get((section, name))
        place = node.place if node is not None else Place("?")
        for step in path:
            if isinstance(node, Map) and isinstance(step, str) and step in node.items:
                place, node = node.places[step], node.items[step]
            elif isinstance(node, Seq) and isinstance(step, int) and step < len(node.items):
                node = node.items[step]
                place = node.place
            else:
                break
        return place


def load_book(folder: Path) -> RuleBook:
    """Read every ``*.yaml`` under ``folder``.

    Raises:
        RuleBookError: with every problem found.
        StorageError: the folder cannot be read.
    """
    with _no_collecting():
        return book_from_texts(texts_of(folder), need_knobs=True)


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Hundreds of thousands of small objects that all stay: collecting garbage costs a quarter of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def book_from_texts(texts: Mapping[str, str], need_knobs: bool = False) -> RuleBook:
    """A book from file name -> YAML text; knobs that are not given take their documented default.

    Raises:
        RuleBookError: with every problem found.
    """
    draft = read_texts(texts, need_knobs)
    if draft.problems:
        raise RuleBookError(draft.problems)
    return draft.book


def read_folder(folder: Path) -> Draft:
    """The draft of a folder: what could be read, with the problems beside it."""
    return read_texts(texts_of(folder), need_knobs=True)


def texts_of(folder: Path) -> dict[str, str]:
    """File name (as errors shall show it) -> text, of every YAML file under the folder.

    Raises:
        StorageError: the folder is not there, holds no rules or cannot be read.
    """
    if not folder.is_dir():
        raise StorageError(f"There is no folder {str(folder)!r}.", "Give the folder that holds the rule files.")
    found = ((p, p.relative_to(folder).parts) for p in folder.rglob("*.yaml"))
    paths = sorted(p for p, parts in found if not any(part.startswith(".") for part in parts))
    if not paths:
        raise StorageError(f"The folder {str(folder)!r} holds no .yaml files.", "Give the folder with the rules.")
    return {p.as_posix(): read_text(p) for p in paths}


def read_texts(texts: Mapping[str, str], need_knobs: bool = False) -> Draft:
    """The draft of a book given as texts. Never raises for bad content."""
    desk = Desk()
    roots = _roots(texts, desk)
    entries, words, knobs_node, version = _gather(roots, desk)
    terms = _vocabulary(roots, desk)
    shared = _shared(roots, desk)
    knobs = read_knobs(knobs_node, desk, need_knobs)
    desk.words, desk.frequencies = knobs.strengths, knobs.frequencies
    # Signs come first: a cause's row of answers is completed from what is usual for the sign.
    objects: dict[str, Any] = {
        section: _build(section, entries, shared, desk) for section in sorted(SECTIONS, key=lambda s: s != "signs")
    }
    objects |= words
    objects["formerly"] = _former_names(entries, desk)
    book = RuleBook(version=version, fingerprint=fingerprint(texts), knobs=knobs, vocabulary=terms, **objects)
    desk.problems.sort(key=lambda p: p.sort_key)
    return Draft(book, desk.problems, entries, shared, texts, _unprinted(roots), desk)


def fingerprint(texts: Mapping[str, str]) -> str:
    """A short hash over all texts; the same rules give the same one, wherever they lie."""
    digest = hashlib.sha256()
    for text in sorted(texts.values()):
        digest.update(hashlib.sha256(text.encode("utf-8", "replace")).digest())
    return digest.hexdigest()[:16]


def _roots(texts: Mapping[str, str], desk: Desk) -> list[tuple[str, Map]]:
    roots = []
    for name in sorted(texts):
        try:
            node = read_yaml(texts[name], name)
        except SourceError as error:
            desk.problem("yaml", error.place, error.what, error.hint)
            continue
        if isinstance(node, Map):
            roots.append((name, node))
        else:
            hint = "Start with a list name, such as causes: or signs:"
            desk.problem("schema", node.place, "A rule file is a mapping of lists.", hint)
    return roots


def _unprinted(roots: list[tuple[str, Map]]) -> frozenset[str]:
    lists = [root.items["unprinted"] for _, root in roots if "unprinted" in root.items]
    return frozenset(m.text for node in lists if isinstance(node, Seq) for m in node.items if isinstance(m, Scalar))


def _vocabulary(roots: list[tuple[str, Map]], desk: Desk) -> tuple[Term, ...]:
    lists = [root.items["vocabulary"] for _, root in roots if "vocabulary" in root.items]
    rows = [row for node in lists for row in ListOf(Record(TERM)).read(node, desk) or () if row is not MISSING]
    return tuple(Term(**row) for row in rows)


def _shared(roots: list[tuple[str, Map]], desk: Desk) -> Shared:
    found: dict[str, list[Map]] = {name: [] for name in SHARED_LISTS}
    for name, root in ((name, root) for _, root in roots for name in SHARED_LISTS if name in root.items):
        node = root.items[name]
        if isinstance(node, Map):
            found[name].append(node)
        else:
            desk.problem("schema", node.place, f"'{name}' must be a mapping.")
    return read_shared(found, desk)


Entries = dict[tuple[str, str], Map]


def _gather(roots: list[tuple[str, Map]], desk: Desk) -> tuple[Entries, dict[str, dict[str, str]], Map | None, str]:
    """First pass: which names exist, where, and what else must be known before objects can be read."""
    entries: Entries = {}
    words: dict[str, dict[str, str]] = {name: {} for name in WORD_LISTS}
    knobs: Map | None = None
    version = ""
    for _, root in roots:
        for key, node in root.items.items():
            place = root.places[key]
            if key in SECTIONS:
                _gather_section(key, node, entries, desk)
            elif key in WORD_LISTS:
                _gather_words(key, node, words[key], desk)
            elif key == "knobs":
                if knobs is not None:
                    desk.problem("repeated", place, "There are two lists of knobs.", f"The first is at {knobs.place}.")
                elif isinstance(node, Map):
                    knobs = node
            elif key == "version" and isinstance(node, Scalar):
                version = node.text
            elif key == "format":
                if plain_number(node) != FORMAT:
                    desk.problem("schema", node.place, f"This program reads format {FORMAT} of the rule book.")
            elif key not in ("unprinted", "vocabulary", *SHARED_LISTS):
                desk.problem("unknown-field", place, f"There is no list called {key!r}.", nearest(key, TOP_LEVEL))
    for name in WORD_LISTS:
        words[name] = dict(sorted(words[name].items()))
    _gather_meanings(entries, desk)
    return entries, words, knobs, version


def _gather_section(section: str, node: Node, entries: Entries, desk: Desk) -> None:
    key = SECTIONS[section][0]
    if not isinstance(node, Seq):
        desk.problem("schema", node.place, f"'{section}' must be a list.", f"Start each entry with '- {key}: name'.")
        return
    for member in node.items:
        if not isinstance(member, Map) or key not in member.items:
            desk.problem("schema", member.place, f"An entry of '{section}' must start with '{key}: name'.")
            continue
        shape = next(f.shape for f in SECTIONS[section][1] if f.name == key)
        name = shape.read(member.items[key], desk)
        if name is MISSING:
            continue
        place = member.items[key].place
        if section == "causes" and name in RESERVED_CAUSES:
            desk.problem("reserved", place, f"{name!r} is a name the program uses itself.", "Choose another name.")
            continue
        # Some sections share one space of names, since entries and links refer to them without saying the section.
        space = next((group for group in (STEP_SECTIONS, _EVIDENCE) if section in group), (section,))
        first = next((desk.names[s][name] for s in space if name in desk.names.get(s, {})), None)
        if first is not None:
            desk.problem("repeated", place, f"{name!r} exists already.", f"The first is at {first}.")
            continue
        desk.names.setdefault(section, {})[name] = place
        entries[(section, name)] = member


_EVIDENCE = ("signs", "states")


def _gather_words(section: str, node: Node, words: dict[str, str], desk: Desk) -> None:
    if not isinstance(node, Map):
        desk.problem("schema", node.place, f"'{section}' must be a mapping from names to words.")
        return
    for name, child in node.items.items():
        place = node.places[name]
        if name in words:
            desk.problem("repeated", place, f"{name!r} exists already.", "Take one out.")
        text = Text(120).read(child, desk)
        if Name(ID_PATTERN).read(Scalar(name, True, place), desk) is MISSING or text is MISSING:
            continue
        words[name] = text
        desk.names.setdefault(section, {})[name] = place


def _gather_meanings(entries: Entries, desk: Desk) -> None:
    """Which signs are choices (with their answers), which the physics decides, what readings measure, who is silent."""
    for (section, name), node in entries.items():
        if section == "signs":
            choices = node.items.get("choices")
            if isinstance(choices, Map) and choices.items:
                desk.choices[name] = tuple(choices.items)
                desk.graded[name] = frozenset(
                    answer
                    for answer, row in choices.items.items()
                    if isinstance(row, Map) and not row.items.keys().isdisjoint(("seen_when", "otherwise"))
                )
            if "seen_when" in node.items:
                desk.seen_by_physics.add(name)
        elif section == "causes":
            for row in _rows(node.items.get("silent")):
                signs, why = row.items.get("signs"), row.items.get("why")
                for sign in signs.items if isinstance(signs, Seq) and isinstance(why, Scalar) else ():
                    if isinstance(sign, Scalar) and isinstance(why, Scalar):
                        desk.silent.setdefault(sign.text, {})[name] = " ".join(why.text.split())
        elif section == "readings":
            quantity = node.items.get("quantity")
            if isinstance(quantity, Scalar):
                desk.quantity_of[name] = quantity.text


def _rows(node: Node | None) -> list[Map]:
    return [row for row in node.items if isinstance(row, Map)] if isinstance(node, Seq) else []


def _former_names(entries: Entries, desk: Desk) -> dict[str, dict[str, str]]:
    """Section -> former name -> name of today. A former name may neither be in use nor lead to two places."""
    found: dict[str, dict[str, str]] = {}
    for (section, name), node in sorted(entries.items(), key=lambda item: item[0]):
        listed = node.items.get("formerly")
        for member in listed.items if isinstance(listed, Seq) else ():
            if not isinstance(member, Scalar):
                continue
            old, known = member.text, found.setdefault(section, {})
            if old in desk.names.get(section, {}) or old in known:
                taken = known.get(old, old)
                hint = f"It is or was the name of {taken!r}. Take it out here."
                desk.problem("repeated", member.place, f"{old!r} is taken.", hint)
                continue
            known[old] = name
    return found


def _build(section: str, entries: Entries, shared: Shared, desk: Desk) -> dict[str, Any]:
    """The objects of one section, ordered by id; entries with problems in needed fields are left out."""
    fields = SECTIONS[section][1]
    objects: dict[str, Any] = {}
    for (where, name), written in sorted(entries.items(), key=lambda item: item[0]):
        if where != section:
            continue
        node = shared.filled(section, written, desk)
        values = read_fields(fields, node, desk)
        if values is MISSING:
            continue
        values.pop("formerly", None)
        if section == "signs" and "choices" in values:
            desk.usual[name] = {answer: row["usual"] for answer, row in values["choices"].items()}
        made = BUILDERS[section](values, node, desk)
        if made is not MISSING:
            objects[name] = made
    return objects
