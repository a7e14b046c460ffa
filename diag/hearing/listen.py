"""The listener: a text in, a short list of what it means out. Deterministic, offline, and nothing is written "
"down here.

The way of the words: figures and sizes are taken out of every sentence first, each with the state of the car that its
neighbours name; the rest is cut into pieces, each piece compared with every line of the book; the piece's likeliest
meanings are kept in order, and the best is ticked where it fits well and nothing else fits nearly as well.
"""

from __future__ import annotations

import re
from dataclasses import replace

from diag.fuelsystem.car import read_field
from diag.fuelsystem.fields import FIELDS
from diag.hearing import alarms, leaks, sayings
from diag.hearing.boost import number_of
from diag.hearing.claims import claimed, how_sure, missed_told, within
from diag.hearing.dry import dry_in
from diag.hearing.facts import Fact, facts_in
from diag.hearing.figures import Figure, figures_in, with_digits
from diag.hearing.lexicon import Lexicon
from diag.hearing.mixture import mixtures
from diag.hearing.pieces import sentences
from diag.hearing.places import Place
from diag.hearing.readings import both_states, places, target_hose
from diag.hearing.renewed import renewed_in
from diag.hearing.understood import Heard, Hearing, Item, Setting
from diag.hearing.vocabulary import PARTS, SECOND_HAND, UNSURE
from diag.hearing.windows import windows
from diag.hearing.worded import Wording
from diag.hearing.words import stem_of
from diag.hearing.written_out import written_out
from diag.quantities import parse
from diag.rulebook.model import RuleBook
from diag.support.errors import UserError
from diag.support.text import one_line

TICK = 0.72  # a piece that fits this well is ticked
CLEAR = 0.1  # by how much the best must lead
MOST_BAR = 10.0
LONGEST = 2000

_HEDGE = re.compile(rf"\b(?:{'|'.join(UNSURE)})\b", re.IGNORECASE)
_OTHERS = re.compile(rf"\b(?:{'|'.join(SECOND_HAND)})\b(?: that)?", re.IGNORECASE)
_NAME = re.compile(r"\b[A-Z][a-z]{2,}\b(?!['\u2019])")
_PARTS = frozenset(stem_of(word) for word in PARTS)
_ONLY_WHERE = re.compile(r"^(?:(?:and|or|only|even|also) )*(?:in|at|on|under|with|after|from|during)\b", re.IGNORECASE)
_SMELT_OR_SEEN = re.compile(
    r"\b(?:smell|stink|stank|reek|fumes|puddle|pool|spray|gush|pour)\w*|\b(?:floor|ground|driveway)\b", re.IGNORECASE
)
_TOLD_OF = frozenset(
    {"target-pressure", "target-hose"}
)  # what the car should have comes from papers and people, not from looking

_ANOTHER_CAR = re.compile(  # what is told of it need not be so of this one
    r"\bdonor\b|\b(?:an?other|sister|different|similar) (?:car|engine|vehicle|van|one|model)\b|"
    r"\b(?:friend|mate|neighbour|brother|colleague)'?s (?:car|engine|one|van)\b",
    re.IGNORECASE,
)
_NEAR = 50  # letters before a fact in which the car that it is told of is named


class Listener:
    """Hears with one rule book. Making it takes some tenths of a second; hearing a sentence takes tens of milliseconds.

    Args:
        book: what can be meant.
    """

    def __init__(self, book: RuleBook) -> None:
        self.book = book
        self.lexicon = Lexicon(book)
        self.wording = Wording(book, self.lexicon)

    def hear(self, text: str, setting: Setting | None = None) -> Hearing:
        """Everything that a text means, as pieces to take, correct or drop.

        Args:
            text: what a person said; several sentences, in any order.
            setting: what is known already.
        """
        told = one_line(text, LONGEST)
        known = setting or Setting()
        heard: list[Heard] = []
        unplaced: list[str] = []
        before = ""
        for sentence in sentences(with_digits(written_out(told))):
            pieces, rest = self._sentence(sentence, before, known)
            heard += pieces
            unplaced += rest
            before = sentence
        return Hearing(told, tuple(_once(heard)), tuple(unplaced))

    # ------------------------------------------------------------------ one sentence

    def _sentence(self, sentence: str, before: str, setting: Setting) -> tuple[list[Heard], list[str]]:
        whole = missed_told(sentence)
        sure, source, _ = how_sure(whole)
        dry, sentence = dry_in(whole, self.book)
        renewed, sentence = renewed_in(sentence, self.book)
        plain, sentence = sayings.heard_in(sentence, self.book)
        plain = [replace(piece, sure=sure, source=source) for piece in (*dry, *renewed, *plain)]
        mixed, sentence = self._mixed(sentence)
        plain += [replace(piece, sure=sure, source=source) for piece in mixed]
        figures = figures_in(sentence)
        facts = facts_in(sentence, figures)
        sized = {(fact.start, fact.end) for fact in facts}
        claims = claimed(sentence)
        heard = [
            h if fact.field in _TOLD_OF or not within(fact.start, claims) else _unticked(h)
            for fact in facts
            if (h := self._fact(fact, sentence)) is not None
        ]
        in_bar = any(figure.typed.endswith(" bar") for figure in figures)
        measured = [figure for figure in figures if (figure.start, figure.end) not in sized]
        read: list[Figure] = []
        for figure, near in windows(sentence, measured):
            # Nobody changes units within a sentence, so that a small figure beside one in bar is in bar as well.
            small = in_bar and figure.number <= MOST_BAR
            known = replace(setting, unit_pressure="bar") if small else setting
            pieces = self._reading(figure, near, sentence, before, known)
            claim = within(figure.start, claims)
            heard += [p if p.best.id in _TOLD_OF or not claim else _unticked(p) for p in pieces]
            read += [figure] if pieces else []
        sized_or_read = [*read, *(f for f in figures if f not in measured)]
        worded, unplaced = self.wording.heard(sentence, sized_or_read, facts, setting, before)
        told = {fact.field for fact in facts}
        heard += [piece for piece in worded if self._derived_from(piece.best) not in told]
        heard, left = alarms.only_own_words([*plain, *heard])
        heard = leaks.never_missed(whole, [*heard, *alarms.missed(whole, heard, self.book)], self.book)
        return heard, [*unplaced, *left]

    def _mixed(self, sentence: str) -> tuple[list[Heard], str]:
        """What numbers of mixture and trim say, and the sentence with them blanked out."""
        heard = []
        claims = claimed(sentence)
        for found in mixtures(sentence):
            words = sentence[found.start : found.end]
            items = tuple(made for sign in found.signs if (made := sayings.item_of(sign, self.book)) is not None)
            if items:
                ticked = found.clear and not within(found.start, claims)
                heard.append(Heard(words.strip(), items, ticked, not ticked))
            sentence = f"{sentence[: found.start]}{' ' * len(words)}{sentence[found.end :]}"
        return heard, sentence

    def _derived_from(self, item: Item) -> str:
        """The field of the car that a yes/no fact follows from; empty where it stands for itself."""
        context = self.book.contexts.get(item.id) if item.kind == "fact" else None
        return context.when_car.partition(":")[0].strip() if context is not None else ""

    def _fact(self, fact: Fact, sentence: str) -> Heard | None:
        spec = FIELDS[fact.field]
        try:
            read_field(fact.field, fact.value)
        except UserError:
            return None
        item = Item("fact", fact.field, fact.value, "", f"{spec.title}: {fact.value}", 0.9)
        sure, source, _ = how_sure(sentence)
        here = _ANOTHER_CAR.search(sentence[max(0, fact.start - _NEAR) : fact.end]) is None
        return Heard(sentence[fact.start : fact.end].strip(), (item,), here, not here, sure, source)

    def _reading(self, figure: Figure, near: str, sentence: str, before: str, setting: Setting) -> list[Heard]:
        found = places(figure, near, sentence, before)
        items = [item for place in found if (item := self._item(figure, place, setting)) is not None]
        if not items:
            return []
        sure, source, _ = how_sure(sentence)
        words = near.strip(" ,.;")
        if items[0].kind == "fact" and _ANOTHER_CAR.search(near):
            return [Heard(words, tuple(items), False, True, sure, source)]
        told = target_hose(near) if items[0].id == "target-pressure" else ""
        if told:
            hose = Item("fact", "target-hose", told, "", f"{FIELDS['target-hose'].title}: {told}", items[0].confidence)
            return [Heard(words, (item,), True, False, sure, source) for item in (items[0], hose)]
        if both_states(sentence, found):
            return [Heard(words, (item,), True, False, sure, source) for item in items]
        clear = len(items) == 1 or items[0].confidence - items[1].confidence >= CLEAR
        return [Heard(words, tuple(items), clear and items[0].confidence >= TICK, not clear, sure, source)]

    def _item(self, figure: Figure, place: Place, setting: Setting) -> Item | None:
        typed = figure.typed if figure.kind != "bare" else f"{figure.typed} {_unit(figure, setting)}"
        try:
            if place.fact:
                read_field(place.fact, typed, setting.unit_pressure)
                return Item("fact", place.fact, typed, "", f"{FIELDS[place.fact].title}: {typed}", place.fit)
            kind = self.book.readings.get(place.reading)
            point = self.book.points.get(place.point)
            if kind is None or point is None:
                return None
            amount = parse(typed, kind.quantity, setting.unit_pressure if kind.quantity == "pressure" else "")
            if not kind.can_be(amount.low, amount.high, amount.bound):
                return None
        except UserError:
            return None
        title = f"{one_line(kind.title)}, {one_line(point.title)}: {typed}"
        return Item("reading", kind.id, typed, point.id, title, place.fit)


def _unticked(heard: Heard) -> Heard:
    """The same piece, offered only."""
    return replace(heard, ticked=False)


def _unit(figure: Figure, setting: Setting) -> str:
    """The unit of a pressure told without one: a small figure with a part of one is bar where that is usual."""
    if setting.unit_pressure == "psi" and 1.5 <= figure.number <= 8 and "." in number_of(figure):
        return "bar"
    return setting.unit_pressure


def _once(heard: list[Heard]) -> list[Heard]:
    """Each thing once, where it was seen and fits best; the first said of two that fit alike.

    A second figure for a place that has one belongs elsewhere: it is offered there, and asked for.
    """
    heard = _elsewhere(heard)
    best: dict[tuple[str, str, str], Heard] = {}
    for piece in heard:
        old = best.get(piece.best.key)
        if old is None or (piece.ticked, piece.best.confidence) > (old.ticked, old.best.confidence + 1e-9):
            best[piece.best.key] = piece
    kept = {id(piece) for piece in best.values()}
    return [piece for piece in heard if id(piece) in kept]


def _elsewhere(heard: list[Heard]) -> list[Heard]:
    """The same, with what reads otherwise at a place that was told already offered at the other places it may be."""
    told: dict[tuple[str, str, str], str] = {}
    found = []
    for piece in heard:
        taken = told.get(piece.best.key) if piece.best.kind == "reading" else None
        if taken is not None and taken != piece.best.answer:
            others = tuple(item for item in piece.items if item.key not in told)
            if others:
                piece = replace(piece, items=others, ticked=False, ask=True)
        if piece.best.kind == "reading":
            told.setdefault(piece.best.key, piece.best.answer)
        found.append(piece)
    return found
