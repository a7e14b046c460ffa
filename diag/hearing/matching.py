"""How well one piece of speech fits each thing of the book: shared words weighed by how much they say."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from diag.hearing.composed import Composed, composed, said_of
from diag.hearing.everyday import SCENERY
from diag.hearing.lexicon import STATES, Lexicon, Line, Thing, opposite
from diag.hearing.vocabulary import ALIVE, FINE, PARTS
from diag.hearing.words import Word, stem_of
from diag.rulebook.findings import ABSENT, PRESENT

_CURE = stem_of("cure")  # what cured and what made no difference are the two answers of one question
_WET = stem_of("wet")  # a place called dry is the other answer, whatever else is said of it
_CAME = frozenset(stem_of(word) for word in ("start", "run", "wake", "fire", "work"))  # what may come of a deed
_FINE = frozenset(stem_of(word) for word in FINE)
BESIDE_THE_POINT = 0.35  # what a time, a number, a road or a person of the story counts among what was said
_SCENERY = frozenset(stem_of(word) for word in SCENERY)
_NAMED = frozenset(map(stem_of, ("fuel", "pressure", "gauge", "pump", "rail", "regulator", "engine", "hose")))
_ALIVE = frozenset(stem_of(word) for word in (*ALIVE, *PARTS))
OPPOSED = 0.92  # an answer that had to be turned round fits a little less well
UNDENIED = 0.66
UNSAID = 0.85  # a line for one state of the car, where nothing was said of any
BARELY = 0.65  # a question of which only the part was said, and that it runs or does not
FAULT_WORD = 0.25  # the least part of a line that its word for the fault makes up
WHOLE = 0.999
UNTOLD = 0.95  # what people seldom complain of by themselves
NO_SUBJECT = 0.6  # a choice whose subject was not named
TURNS = 0.45  # a denied verb turns a line round, though its subject is not denied
ENOUGH, _THIN = 2.8, 0.6  # shared words that weigh less than this are thin evidence
_LINE, _SPEECH = 0.75, 0.7  # how strongly unmatched words of the line, and of what was said, count against it
_WORDY = 0.4  # the same for a question, whose words nobody repeats in full
BOTH = 0.1  # what it adds that words and concepts agree
SURER = 0.3  # by how much counting words must be surer of the other answer to keep it
_ANYWHERE = 0.12  # what words found in other lines of the same thing add


@dataclass(frozen=True, slots=True)
class Match:
    """One thing with the answer that was meant, and how well it fits, from 0 to about 1."""

    thing: Thing
    answer: str
    score: float
    line: str


def matches(lexicon: Lexicon, words: tuple[Word, ...], most: int = 8) -> tuple[Match, ...]:
    """The things that a piece of speech may mean, best first."""
    if not words:
        return ()
    said = {word.stem: word.denied for word in words}
    worth = {stem: lexicon.weight(stem) * (BESIDE_THE_POINT if stem in _SCENERY else 1.0) for stem in said}
    total = sum(w for stem, w in worth.items() if stem not in _FINE) or sum(worth.values())
    hits = _hits(lexicon, said)
    by_thing: dict[int, list[tuple[int, dict[str, tuple[str, float]]]]] = defaultdict(list)
    for (owner, number), pairs in hits.items():
        by_thing[owner].append((number, pairs))
    found = []
    for at, lines in by_thing.items():
        thing = lexicon.things[at]
        best = _best(_score(lexicon, thing.lines[n], pairs, said, worth, total, thing.subject) for n, pairs in lines)
        anywhere = {stem for _, pairs in lines for stem in pairs}
        share = min(1.0, sum(worth[stem] for stem in anywhere) / total)
        score = best[0] * (1.0 - _ANYWHERE + _ANYWHERE * share) * (1.0 if thing.symptom else UNTOLD)
        if best[1]:
            found.append(Match(thing, best[1], round(score, 6), best[2]))
    found.sort(key=lambda m: (-m.score, m.thing.id))
    return tuple(found[:most])


def put_together(lexicon: Lexicon, text: str, found: tuple[Match, ...], most: int = 8) -> tuple[Match, ...]:
    """The matches of some words with what their concepts make up, best first.

    Of two answers to one question the one put together from concepts holds, since it knows how far a denial reaches.
    """
    met = {(m.thing.id, m.answer): m for m in found}
    for new in composed(lexicon.speller.mend(said_of(text))):
        name, answer = target_of(new)
        thing = lexicon.named.get(name)
        if thing is None:
            continue
        before = met.get((name, answer))
        score = new.score if before is None else max(new.score, before.score) + BOTH * min(new.score, before.score)
        met[name, answer] = Match(thing, answer, round(score, 6), before.line if before else "")
        other = met.get((name, opposite(answer)))
        if other is not None and other.line and other.score < new.score + SURER:
            del met[name, opposite(answer)]
    return tuple(sorted(met.values(), key=lambda m: (-m.score, m.thing.id)))[:most]


def target_of(made: Composed) -> tuple[str, str]:
    """The id of what concepts make up, and the answer they stand for."""
    name, _, answer = made.target.removeprefix("F:").lstrip("!").partition("=")
    return name, answer or (ABSENT if made.target.startswith("!") else PRESENT)


def _best(scored: Iterable[tuple[float, str, str, bool]]) -> tuple[float, str, str]:
    """The line that fits best; of two that fit alike, the one that had not to be turned round."""
    score, answer, line, _ = max(scored, key=lambda found: (found[0], not found[3], found[2]))
    return score, answer, line


def _hits(lexicon: Lexicon, said: dict[str, bool]) -> dict[tuple[int, int], dict[str, tuple[str, float]]]:
    """(thing, line) -> said stem -> the line's stem it meets and how near the two are."""
    hits: dict[tuple[int, int], dict[str, tuple[str, float]]] = defaultdict(dict)
    for stem in said:
        for known, nearness in lexicon.near.get(stem, ((stem, 1.0),)):
            for spot in lexicon.where.get(known, ()):
                if nearness > hits[spot].get(stem, ("", 0.0))[1]:
                    hits[spot][stem] = (known, nearness)
    return hits


def _score(
    lexicon: Lexicon,
    line: Line,
    pairs: dict[str, tuple[str, float]],
    said: dict[str, bool],
    worth: dict[str, float],
    total: float,
    subject: str,
) -> tuple[float, str, str, bool]:
    """How well the line fits, the answer it then stands for, its text, and whether the answer was turned round."""
    wanted = {word.stem: word.denied for word in line.words}
    agree = [(stem, known, near) for stem, (known, near) in pairs.items() if said[stem] == wanted[known]]
    against = [(stem, known, near) for stem, (known, near) in pairs.items() if said[stem] != wanted[known]]
    if said.get(_CURE) and _CURE not in wanted and agree:
        # "Thumped it, no difference": what the line says came of the deed did not come.
        against += [(_CURE, stem, 1.0) for stem in sorted(_CAME & wanted.keys()) if not wanted[stem]]
    missed = sum(lexicon.weight(s) for s in wanted.keys() - {known for _, known, _ in agree})
    # "The fuse is fine": the line's word for the fault is just what was not said.
    fine = _fine(said, wanted) and missed >= FAULT_WORD * sum(lexicon.weight(s) for s in wanted)
    turned = fine or any(_CURE in (stem, known) or known == _WET for stem, known, _ in against) or (
        _mass(lexicon, against) > TURNS * _mass(lexicon, agree)
    )  # fmt: skip
    met = [*agree, *against] if turned else agree
    heard: dict[str, float] = {}
    line_met: dict[str, float] = {}
    for stem, known, near in met:
        line_met[known] = max(line_met.get(known, 0.0), near)
        if stem not in _FINE or known == stem:
            heard[stem] = worth[stem] * near
    of_line = sum(lexicon.weight(s) * n for s, n in line_met.items()) / sum(lexicon.weight(s) for s in wanted)
    of_speech = min(1.0, sum(heard.values()) / total)
    unnamed = subject in wanted and not any(subject in (stem, known) for stem, known, _ in met)
    whole = of_line >= WHOLE and of_speech >= WHOLE
    score = (
        lexicon.worth(line, whole)
        * (NO_SUBJECT if unnamed else 1.0)
        * of_line ** (_WORDY if line.wordy or fine else _LINE)
        * of_speech**_SPEECH
    )
    if not line.wordy and (STATES & wanted.keys()) - line_met.keys() and not (STATES & said.keys()):
        score *= UNSAID
    if line.wordy and of_line < WHOLE and all(known in _ALIVE for _, known, _ in met):
        score *= BARELY
    if not any(said.values()) and all(known in _NAMED for _, known, _ in met):
        score *= BARELY  # "fuel pressure" names what is spoken of, and says nothing of it
    if of_line < WHOLE or of_speech < WHOLE:  # thin evidence is enough where it is the whole of both
        score *= min(1.0, sum(lexicon.weight(known) * near for _, known, near in met) / ENOUGH) ** _THIN
    if not turned:
        return score, line.answer, line.text, False
    # A line of denial met without one ("won't idle" by "idle") says little: the word alone denies nothing.
    bare = any(wanted.values()) and not any(said.values())
    return score * (UNDENIED if bare else OPPOSED), opposite(line.answer), line.text, True


def _mass(lexicon: Lexicon, met: list[tuple[str, str, float]]) -> float:
    """What shared words weigh, without those that only say how the car stood."""
    return sum(lexicon.weight(known) * near for _, known, near in met if known not in STATES)


def _fine(said: dict[str, bool], wanted: dict[str, bool]) -> bool:
    """Whether what was said calls the thing fine, and the line does not speak of fine itself."""
    called = [denied for stem, denied in said.items() if stem in _FINE]
    return bool(called) and not called[0] and not any(stem in _FINE for stem in wanted) and len(said) <= 4
