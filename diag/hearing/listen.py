"""The listener: a text in, a short list of what it means out. Deterministic, offline, and nothing is written "
"down here.

The way of the words: figures and sizes are taken out of every sentence first, each with the state of the car that its
neighbours name; the rest is cut into pieces, each piece compared with every line of the book; the piece's likeliest
meanings are kept in order, and the best is ticked where it fits well and nothing else fits nearly as well.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

from diag.fuelsystem.car import read_field
from diag.fuelsystem.fields import FIELDS
from diag.hearing import alarms, deeds, leaks, sayings
from diag.hearing.claims import claimed, missed_told, passed_on, within, without_driver
from diag.hearing.closer import told_closer
from diag.hearing.composed import composed, said_of
from diag.hearing.facts import Fact, facts_in
from diag.hearing.figures import Figure, figures_in, with_digits
from diag.hearing.lexicon import STATES, Lexicon
from diag.hearing.matching import Match, matches, put_together, target_of
from diag.hearing.mixture import mixtures
from diag.hearing.pieces import Piece, cut, fragments, parts_at, sentences
from diag.hearing.readings import Place, both_states, places, target_hose, without_both
from diag.hearing.understood import Heard, Hearing, Item, Setting, Sureness, Whose
from diag.hearing.vocabulary import PARTS, SECOND_HAND, UNSURE
from diag.hearing.windows import FIGURE, windows, without_figures
from diag.hearing.words import Word, stem_of, words_of
from diag.quantities import parse
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.model import RuleBook
from diag.support.errors import UserError
from diag.support.text import one_line

TICK = 0.72  # a piece that fits this well is ticked
TICK_DENIED = 0.8  # the same for what is said not to be there: the words of a denial are few
OFFER_BESIDE = 0.55
BESIDE_FIGURE = 0.85  # words beside a figure mostly say how it was taken
CLEAR = 0.1  # by how much the best must lead
SHOWN_SYMPTOM = 0.3  # the same for what people complain of by themselves
SHOWN = 0.4  # below this nothing is offered, and the words are kept as they were said
MOST_ITEMS = 4
MOST_BESIDE = 2
LIKELY = 0.05  # what a sign that is there in every job gains over one that never is
ALONE = 0.25  # how far the best meaning must stand before the next to be the only one that is meant
TICK_ALONE = 0.68  # a piece that means one thing only is ticked from here
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


class Listener:
    """Hears with one rule book. Making it takes some tenths of a second; hearing a sentence takes tens of milliseconds.

    Args:
        book: what can be meant.
    """

    def __init__(self, book: RuleBook) -> None:
        self.book = book
        self.lexicon = Lexicon(book)

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
        for sentence in sentences(with_digits(told)):
            pieces, rest = self._sentence(sentence, before, known)
            heard += pieces
            unplaced += rest
            before = sentence
        return Hearing(told, tuple(_once(heard)), tuple(unplaced))

    # ------------------------------------------------------------------ one sentence

    def _sentence(self, sentence: str, before: str, setting: Setting) -> tuple[list[Heard], list[str]]:
        whole = missed_told(sentence)
        sure, source, _ = _how_sure(whole)
        plain, sentence = sayings.heard_in(whole, self.book)
        plain = [replace(piece, sure=sure, source=source) for piece in plain]
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
        measured = [figure for figure in figures if (figure.start, figure.end) not in sized]
        read: list[Figure] = []
        for figure, near in windows(sentence, measured):
            pieces = self._reading(figure, near, sentence, before, setting)
            claim = within(figure.start, claims)
            heard += [p if p.best.id in _TOLD_OF or not claim else _unticked(p) for p in pieces]
            read += [figure] if pieces else []
        worded, unplaced = self._worded(sentence, [*read, *(f for f in figures if f not in measured)], facts, setting)
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
        sure, source, _ = _how_sure(sentence)
        return Heard(sentence[fact.start : fact.end].strip(), (item,), True, False, sure, source)

    def _reading(self, figure: Figure, near: str, sentence: str, before: str, setting: Setting) -> list[Heard]:
        found = places(figure, near, sentence, before)
        items = [item for place in found if (item := self._item(figure, place, setting)) is not None]
        if not items:
            return []
        sure, source, _ = _how_sure(sentence)
        words = near.strip(" ,.;")
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

    # ------------------------------------------------------------------ words

    def _worded(
        self, sentence: str, read: list[Figure], facts: list[Fact], setting: Setting
    ) -> tuple[list[Heard], list[str]]:
        """Signs and yes/no facts in the words of a sentence, and the pieces that mean nothing here."""
        level = [fact for fact in facts if fact.field == "fuel-level"]  # its words would be heard once more as signs
        text = self._without_names(without_figures(sentence, [*read, *level]))
        text = deeds.joined(without_both(text, FIGURE) if read else text)

        done = [part for piece in fragments(text) for part in (deeds.was_test if read else deeds.deeds)(piece)]

        @cache
        def listen(piece: str) -> tuple[tuple[Match, ...], float]:
            words = words_of(_how_sure(piece)[2], self.lexicon.speller)
            if FIGURE in piece:  # how a figure was taken is no sign of its own
                words = tuple(word for word in words if word.stem not in STATES)
            found = () if deeds.at_hand(piece) else self._meant(piece, words, setting)
            for deed in (part for part in done if part in piece):
                alone = self._meant(deed, words_of(deed, self.lexicon.speller), setting)
                found = deeds.without(found, alone, len(piece) > len(deed) + 1)
            return found, sum(self.lexicon.weight(word.stem) for word in words)

        heard, unplaced = [], []
        claims = claimed(text)
        told_on = passed_on(text)
        claims_of = [within(start, claims) for start, _ in parts_at(text)]
        pieces = cut(fragments(text), listen, claims_of)
        for piece in (part for whole in pieces for part in self._each_meant(whole)):
            met = not piece.seen and within(text.find(piece.words), told_on)
            found = None if self._only_a_name(piece.words) else self._heard(piece, met)
            if found is not None:
                heard.append(found)
            elif not read and not facts and len(words_of(piece.words)) > 0:
                unplaced.append(" ".join(piece.words.replace(" & ", " and ").split()))
        return told_closer(heard), unplaced

    def _meant(self, piece: str, words: tuple[Word, ...], setting: Setting) -> tuple[Match, ...]:
        """What a piece may mean, by its words and by what its concepts make up, best first."""
        by_words = matches(self.lexicon, words)
        return self._weighed(put_together(self.lexicon, _how_sure(piece)[2], by_words), setting)

    def _each_meant(self, piece: Piece) -> list[Piece]:
        """The piece once for everything that it means beside one another: "cuts in corners and with a low tank"."""
        if not piece.found or FIGURE in piece.words:
            return [piece]
        made = {target_of(m): m for m in composed(self.lexicon.speller.mend(said_of(_how_sure(piece.words)[2])))}
        first = made.get((piece.found[0].thing.id, piece.found[0].answer))
        if first is None:
            return [piece]
        others = [(m, made.get((m.thing.id, m.answer))) for m in piece.found[1:] if m.score >= TICK]
        wet = self._wet(piece.found[0])
        beside = [m for m, other in others if other and other.beside(first) and not (wet and self._wet(m))]
        rest = tuple(m for m in piece.found if m not in beside)
        return [replace(piece, found=rest), *(replace(piece, found=(m,)) for m in beside[:MOST_BESIDE])]

    def _wet(self, match: Match) -> bool:
        """Whether a match names a wet place: of several that one piece names, the best is meant."""
        return match.thing.kind == "sign" and self.book.signs[match.thing.id].wet

    def _only_a_name(self, text: str) -> bool:
        """Whether a piece names a part or a quantity and says nothing about it."""
        words = words_of(_how_sure(text)[2], self.lexicon.speller)
        return len(words) == 1 and words[0].stem in _PARTS and not words[0].denied

    def _without_names(self, text: str) -> str:
        """The text without names of cars and people: capitalised words that nobody else uses."""
        return _NAME.sub(lambda found: found[0] if self.lexicon.speller.knows(found[0]) else "", text)

    def _weighed(self, found: tuple[Match, ...], setting: Setting) -> tuple[Match, ...]:
        """The same matches with a little more for what is often there."""
        gained = [
            Match(m.thing, m.answer, m.score * (1.0 + LIKELY * setting.likely.get(m.thing.id, 0.0)), m.line)
            for m in found
        ]
        return tuple(sorted(gained, key=lambda m: (-m.score, m.thing.id)))

    def _heard(self, piece: Piece, met: bool = False) -> Heard | None:
        """What a piece means; ``met``: somebody who drives the car met it, and another person tells."""
        good = [m for m in piece.found if m.score >= (SHOWN_SYMPTOM if m.thing.symptom else SHOWN)][:MOST_ITEMS]
        beside_figure = FIGURE in piece.words
        least = BESIDE_FIGURE if beside_figure else TICK
        if good and good[0].answer in (ABSENT, "no"):
            least = max(least, TICK_DENIED)
        if not good or (beside_figure and good[0].score < OFFER_BESIDE):
            return None
        items = tuple(self._as_item(match) for match in good)
        lead = good[0].score - (good[1].score if len(good) > 1 else 0.0)
        clear = lead >= CLEAR
        if lead >= ALONE and not beside_figure and good[0].answer == PRESENT and not _names_a_state(piece.words):
            least = min(least, TICK_ALONE)
        sure, source, _ = _how_sure(piece.words)
        if beside_figure and good[0].thing.choices:
            clear = False  # which answer of several is meant cannot be told from how a figure was taken
        met = met and items[0].kind == "sign" and self.book.signs[items[0].id].symptom
        source = "second hand" if met else source
        claim = not piece.seen and not met and not self._alarming(items[0], piece.words)
        if claim and clear:
            items = items[:1]
        if claim or (_ONLY_WHERE.match(piece.words) and len(words_of(piece.words)) == 1):
            clear = False  # a claim, or where and when something happens: no observation of its own
        ask = not claim and not clear and good[0].score >= least
        said = " ".join(piece.words.replace(FIGURE, " ").replace(" & ", " and ").split())
        return Heard(said, items, clear and good[0].score >= least, ask, sure, source)

    def _alarming(self, item: Item, words: str) -> bool:
        """Whether somebody, be it another person, smelt fuel or saw it run out: taken even when it is only supposed."""
        wet = item.kind == "sign" and item.answer == PRESENT and self.book.signs[item.id].wet
        return wet and _SMELT_OR_SEEN.search(words) is not None

    def _as_item(self, match: Match) -> Item:
        thing, fit = match.thing, min(match.score, 1.0)
        shown = one_line(thing.title)
        if thing.kind == "context":
            return Item("fact", thing.id, match.answer, "", f"{shown}: {match.answer}", fit)
        if thing.choices:
            words = next(a.words for a in self.book.signs[thing.id].choices if a.id == match.answer)
            return Item("sign", thing.id, match.answer, "", f"{shown}: {one_line(words)}", fit)
        told = {PRESENT: "yes", ABSENT: "no"}[match.answer]
        return Item("sign", thing.id, match.answer, "", f"{shown}: {told}", fit)


def _names_a_state(words: str) -> bool:
    """Whether it is said at idle, in boost, hot or the like: the one meaning found may be that of another state."""
    return any(word.stem in STATES for word in words_of(words))


def _unticked(heard: Heard) -> Heard:
    """The same piece, offered only."""
    return replace(heard, ticked=False)


def _unit(figure: Figure, setting: Setting) -> str:
    """The unit of a pressure told without one: a small figure with a part of one is bar where that is usual."""
    if setting.unit_pressure == "psi" and 1.5 <= figure.number <= 8 and figure.number != int(figure.number):
        return "bar"
    return setting.unit_pressure


def _how_sure(text: str) -> tuple[Sureness, Whose, str]:
    """How sure a person is and whose eyes saw it, and the text without the words that say so."""
    told = without_driver(_OTHERS.sub("", text))
    whose: Whose = "second hand" if told != text else "own eyes"
    bare = _HEDGE.sub("", told)
    sure: Sureness = "unsure" if bare != told else "sure"
    return sure, whose, bare


def _once(heard: list[Heard]) -> list[Heard]:
    """Each thing once, where it was seen and fits best; the first said of two that fit alike."""
    best: dict[tuple[str, str, str], Heard] = {}
    for piece in heard:
        old = best.get(piece.best.key)
        if old is None or (piece.ticked, piece.best.confidence) > (old.ticked, old.best.confidence + 1e-9):
            best[piece.best.key] = piece
    kept = {id(piece) for piece in best.values()}
    return [piece for piece in heard if id(piece) in kept]
