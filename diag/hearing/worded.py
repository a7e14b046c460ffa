"""The words of a sentence that are no figure: cut into pieces, each compared with every line of the book and with what
its concepts make up; the best is ticked where it fits well, nothing else fits nearly as well, and it is sure enough.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cache

from diag.hearing import alarms, contrast, deeds, leaks
from diag.hearing.certain import evidence, sure_enough
from diag.hearing.claims import claimed, how_sure, passed_on, within
from diag.hearing.closer import told_closer
from diag.hearing.composed import composed, nearly, said_of, speaks_of_a_car
from diag.hearing.facts import Fact
from diag.hearing.figures import Figure
from diag.hearing.lexicon import STATES, Lexicon
from diag.hearing.matching import Match, matches, put_together, target_of
from diag.hearing.pieces import Piece, cut, fragments, parts_at
from diag.hearing.readings import without_both
from diag.hearing.understood import Heard, Item, Setting
from diag.hearing.vocabulary import PARTS
from diag.hearing.windows import FIGURE, without_figures
from diag.hearing.words import Word, stem_of, words_of
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.model import RuleBook
from diag.support.text import one_line

TICK = 0.72  # a piece that fits this well is ticked
TICK_DENIED = 0.8  # the same for what is said not to be there: the words of a denial are few
OFFER_BESIDE = 0.55
BESIDE_FIGURE = 0.85  # words beside a figure mostly say how it was taken
CLEAR = 0.1  # by how much the best must lead
SHOWN_SYMPTOM = 0.3  # the same for what people complain of by themselves
SHOWN = 0.4  # below this nothing is offered, and the words are kept as they were said
FAINT = 0.2  # what is offered only to fill the list where nothing fits well
OFTEN = 0.2  # what a sign that is there in every job gains among those that were told in part
SELDOM_TOLD = 0.85  # of those, what nobody complains of by himself
OFFERED = 3  # as many are offered where nothing fits well
MOST_ITEMS = 4
MOST_BESIDE = 2
LIKELY = 0.05  # what a sign that is there in every job gains over one that never is
ALONE = 0.25  # how far the best meaning must stand before the next to be the only one that is meant
TICK_ALONE = 0.68  # a piece that means one thing only is ticked from here

_NAME = re.compile(r"\b[A-Z][a-z]{2,}\b(?!['\u2019])")
_PARTS = frozenset(stem_of(word) for word in PARTS)
_ONLY_WHERE = re.compile(r"^(?:(?:and|or|only|even|also) )*(?:in|at|on|under|with|after|from|during)\b", re.IGNORECASE)
_SMELT_OR_SEEN = re.compile(
    r"\b(?:smell|stink|stank|reek|fumes|puddle|pool|spray|gush|pour)\w*|\b(?:floor|ground|driveway)\b", re.IGNORECASE
)


class Wording:
    """Hears signs and yes/no facts in words, with one rule book.

    Args:
        book: what can be meant.
        lexicon: the same as it is listened with.
    """

    def __init__(self, book: RuleBook, lexicon: Lexicon) -> None:
        self.book = book
        self.lexicon = lexicon

    def heard(
        self, sentence: str, read: list[Figure], facts: list[Fact], setting: Setting, before: str
    ) -> tuple[list[Heard], list[str]]:
        """Signs and yes/no facts in the words of a sentence, and the pieces that mean nothing here."""
        level = [fact for fact in facts if fact.field == "fuel-level"]  # its words would be heard once more as signs
        text = self._without_names(without_figures(sentence, [*read, *level]))
        text = deeds.joined(without_both(text, FIGURE) if read else text)

        text = contrast.where_joined(text)
        whole = contrast.completed(fragments(text), text, before)
        for part, with_subject in whole.items():
            text = text.replace(part, with_subject, 1)
        done = [
            part
            for piece in fragments(text)
            for part in (deeds.was_test if read or ":" in text else deeds.deeds)(piece)
        ]

        @cache
        def listen(piece: str) -> tuple[tuple[Match, ...], float]:
            words = words_of(how_sure(piece)[2], self.lexicon.speller)
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
        pieces = cut(fragments(text), listen, claims_of, contrast.by_heat)
        for piece in (part for whole in pieces for part in self._each_meant(whole)):
            met = not piece.seen and within(text.find(piece.words), told_on)
            found = None if self._only_a_name(piece.words) else self._heard(piece, met, setting.likely)
            if found is not None:
                own = next((part for part, longer in whole.items() if longer == found.words), found.words)
                heard.append(replace(found, words=own))
            elif not read and not facts and len(words_of(piece.words)) > 0:
                unplaced.append(" ".join(piece.words.replace(" & ", " and ").split()))
        return told_closer(heard), unplaced

    def _meant(self, piece: str, words: tuple[Word, ...], setting: Setting) -> tuple[Match, ...]:
        """What a piece may mean, by its words and by what its concepts make up, best first."""
        by_words = matches(self.lexicon, words)
        if (state := contrast.well_in(piece)) and FIGURE not in piece:
            return self._well_in(state)
        return self._weighed(put_together(self.lexicon, how_sure(piece)[2], by_words), setting)

    def _well_in(self, state: str) -> tuple[Match, ...]:
        """What may be meant where all is said to be well in a state, and not what."""
        met = []
        for rank, target in enumerate(contrast.WELL_IN[state]):
            thing = self.lexicon.named.get(target.lstrip("!"))
            if thing is not None:
                answer = ABSENT if target.startswith("!") else PRESENT
                met.append(Match(thing, answer, contrast.OFFERED - contrast.LESS * rank, ""))
        return tuple(met)

    def _each_meant(self, piece: Piece) -> list[Piece]:
        """The piece once for everything that it means beside one another: "cuts in corners and with a low tank"."""
        if not piece.found or FIGURE in piece.words:
            return [piece]
        made = {target_of(m): m for m in composed(self.lexicon.speller.mend(said_of(how_sure(piece.words)[2])))}
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
        words = words_of(how_sure(text)[2], self.lexicon.speller)
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

    def _heard(self, piece: Piece, met: bool, likely: Mapping[str, float]) -> Heard | None:
        """What a piece means; ``met``: somebody who drives the car met it, and another person tells."""
        good = [m for m in piece.found if m.score >= (SHOWN_SYMPTOM if m.thing.symptom else SHOWN)][:MOST_ITEMS]
        beside_figure = FIGURE in piece.words
        least = BESIDE_FIGURE if beside_figure else TICK
        if good and good[0].answer in (ABSENT, "no"):
            least = max(least, TICK_DENIED)
        lead = good[0].score - (good[1].score if len(good) > 1 else 0.0) if good else 0.0
        if not (beside_figure or (good and good[0].score >= least)):
            good += self._nearly(piece, good, likely)
        if not good or (beside_figure and good[0].score < OFFER_BESIDE):
            return None
        items = tuple(self._as_item(match) for match in good)
        clear = lead >= CLEAR
        if lead >= ALONE and not beside_figure and good[0].answer == PRESENT and not _names_a_state(piece.words):
            least = min(least, TICK_ALONE)
        sure, source, _ = how_sure(piece.words)
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
        ticked = clear and good[0].score >= least and self._certain(piece, good[0])
        return Heard(said, items, ticked, ask, sure, source)

    def _nearly(self, piece: Piece, good: list[Match], likely: Mapping[str, float]) -> list[Match]:
        """What the words speak of in part, to fill the offer up to three: the oftener it is met, the likelier."""
        told = {match.thing.id for match in good}
        plain = self.lexicon.speller.mend(said_of(alarms.without_likeness(how_sure(piece.words)[2])))
        if deeds.at_hand(piece.words) or deeds.deeds(piece.words) or not speaks_of_a_car(plain):
            return []
        found = [m for m in piece.found if m.score >= FAINT and m.thing.id not in told]
        told |= {match.thing.id for match in found}
        for made in nearly(plain):
            name, answer = target_of(made)
            thing = self.lexicon.named.get(name)
            if thing is not None and name not in told and name not in alarms.OWN_WORDS:
                found.append(Match(thing, answer, made.score + OFTEN * likely.get(name, 0.0), ""))
        found.sort(key=lambda m: (-m.score * (1.0 if m.thing.symptom else SELDOM_TOLD), m.thing.id))
        return found[: max(0, OFFERED - len(good))]

    def _certain(self, piece: Piece, best: Match) -> bool:
        """Whether the best meaning of a piece rests on enough to be ticked; what may hurt is, on its own words."""
        sign = self.book.signs.get(best.thing.id) if best.thing.kind == "sign" else None
        alarm = best.thing.id in alarms.OWN_WORDS and alarms.said(best.thing.id, piece.words)
        wet = sign is not None and sign.wet and bool(leaks.told_at(piece.words))
        if best.answer == PRESENT and (wet or alarm):
            return True
        found = evidence(self.lexicon, how_sure(f"{piece.load} {piece.words}")[2], best)
        return sure_enough(found, best, sign is not None and sign.symptom)

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
