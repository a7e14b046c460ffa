"""Entries, answers and readings in words, with the titles of the rule book."""

from __future__ import annotations

import math
from collections.abc import Iterable

from diag.casework import entries as e
from diag.casework.replay import Standing
from diag.fuelsystem.fields import FIELDS
from diag.inference.posterior import NOT_IN_BOOK, NOTHING_WRONG
from diag.inference.titles import EXIT_TITLES
from diag.presentation.report.sheet import Line, Ranked
from diag.rulebook.causes import Cause
from diag.rulebook.model import RuleBook
from diag.rulebook.typed import shown_as_read
from diag.safety.steps import find_step
from diag.support.text import one_line

EXITS = {
    NOTHING_WRONG: (EXIT_TITLES[NOTHING_WRONG], "What was seen is normal behaviour of this system."),
    NOT_IN_BOOK: (EXIT_TITLES[NOT_IN_BOOK], "What was seen fits none of the causes that the rule book knows."),
}


class Words:
    """Titles of everything in the book; ids the book does not have keep their id and are marked."""

    def __init__(self, book: RuleBook, unit_pressure: str) -> None:
        self.book = book
        self.unit_pressure = unit_pressure

    def step(self, step_id: str) -> str:
        """The title of a check, setup, remedy or action."""
        step = find_step(self.book, step_id)
        return one_line(step.title) if step else self._unknown(step_id)

    def cause(self, cause_id: str) -> tuple[str, str, str]:
        """Title, words and area of a cause or exit."""
        if cause_id in EXITS:
            return *EXITS[cause_id], "exit"
        cause: Cause | None = self.book.causes.get(cause_id)
        if cause is None:
            return self._unknown(cause_id), "", ""
        return one_line(cause.title), one_line(cause.in_words, 2000), cause.area

    def ranked(self, cause_id: str, standing: Standing) -> Ranked:
        """A cause with its present chance."""
        chance = dict(standing.belief.ranked()).get(cause_id, math.nan)
        title, in_words, area = self.cause(cause_id)
        return Ranked(cause_id, title, chance, in_words, area)

    def cautions(self, hazards: Iterable[str]) -> tuple[Line, ...]:
        """The cautions of these hazards, one line each."""
        known = [self.book.hazards[name] for name in hazards if name in self.book.hazards]
        return tuple(Line(one_line(h.title), " ".join(one_line(c, 400) for c in h.cautions)) for h in known)

    def field(self, field_id: str) -> str:
        """The title of a car field or a context."""
        if field_id in FIELDS:
            return FIELDS[field_id].title
        context = self.book.contexts.get(field_id)
        return one_line(context.title) if context else self._unknown(field_id)

    def answer(self, entry: e.SignAnswer) -> str:
        """An answer about a sign in words, with everything that weakens it."""
        sign = self.book.signs.get(entry.sign)
        title = one_line(sign.title) if sign else self._unknown(entry.sign)
        said = {"present": "yes", "absent": "no"}.get(entry.answer, one_line(entry.answer, 60))
        choice = next((c for c in sign.choices if c.id == entry.answer), None) if sign else None
        text = f"{title}: {one_line(choice.words) if choice else said}"
        marks = [
            m for m, on in (("unsure", entry.sure == "unsure"), ("second hand", entry.source == "second hand")) if on
        ]
        if entry.place_seen:
            marks.append(f"at {one_line(entry.place_seen, 60)}")
        text += f" ({', '.join(marks)})" if marks else ""
        told = one_line(entry.text, 300)
        # A bare "no" beside the answer "no" would only be noise.
        plain = told.casefold() in {
            "",
            "y",
            "n",
            "u",
            "?",
            said,
            entry.answer,
            choice.words.casefold() if choice else "",
        }
        return text if plain else f'{text}; said: "{told}"'

    def reading(self, entry: e.ReadingTaken) -> str:
        """A measured value with its point, in the case's units, and what was typed."""
        kind = self.book.readings.get(entry.reading)
        title = one_line(kind.title) if kind else self._unknown(entry.reading)
        point = self.book.points.get(entry.point)
        quantity = kind.quantity if kind else ""
        value = f"{entry.low:g} to {entry.high:g} (SI)" if entry.low != entry.high else f"{entry.value:g} (SI)"
        if kind is not None:
            unit = self.unit_pressure if quantity in ("pressure", "absolute pressure") else None
            value = shown_as_read(entry.value, kind, unit)
            if entry.low != entry.high:
                value = f"{shown_as_read(entry.low, kind, unit)} to {shown_as_read(entry.high, kind, unit)}"
        value = {"above": f"over {value}", "below": f"under {value}"}.get(entry.bound, value)
        where = one_line(point.title) if point else self._unknown(entry.point)
        gauge = "" if entry.gauge == "main" else f", {one_line(entry.gauge, 40)} gauge"
        if entry.log:
            gauge = f", from the log {one_line(entry.log, 60)}"
        typed = f' (typed "{one_line(entry.text, 60)}")' if entry.text else ""
        met = {"bout": ", while the fault showed itself", "rest": ", while all was well"}.get(entry.met_in, "")
        unsure = ", unsure" if entry.sure == "unsure" else ""
        heard = ", heard from somebody else" if entry.source == "second hand" else ""
        return f"{title}, {where}{gauge}: {value}{typed}{met}{unsure}{heard}"

    @staticmethod
    def _unknown(name: str) -> str:
        return f"{one_line(name, 60)} (not in this rule book)"


def entry_words(entry: e.Entry, words: Words) -> tuple[str, str]:
    """The kind of an entry and what it says, both in words."""
    if isinstance(entry, e.CarFact):
        return "car", f"{words.field(entry.field)}: {one_line(entry.text, 200) or 'not known'}"
    if isinstance(entry, e.SignAnswer):
        return "answer", words.answer(entry)
    if isinstance(entry, e.ReadingTaken):
        return "reading", words.reading(entry)
    if isinstance(entry, e.StepDone):
        took = f", {entry.minutes:g} min" if entry.minutes is not None else ""
        return "done", f"{words.step(entry.step)}{took}{_tail(entry.text)}"
    if isinstance(entry, e.StepRefused):
        why = {"cannot": "cannot be done", "later": "put off", "skip": "skipped"}[entry.why]
        return "not done", f"{words.step(entry.step)}: {why}{_tail(entry.text)}"
    if isinstance(entry, e.PersonTold):
        facts = [f"{entry.person} at the car"] + ["on the phone"] * entry.by_phone
        facts += ["second person there"] * entry.second_person + ["not ventilated"] * (not entry.ventilated)
        return "person", ", ".join(facts)
    if isinstance(entry, e.Acknowledged):
        rule = words.book.stops.get(entry.rule) or words.book.hazards.get(entry.rule)
        return "caution", f"read and accepted: {one_line(rule.title) if rule else one_line(entry.rule, 60)}"
    if isinstance(entry, e.HandedOver):
        return "handed over", f"to {one_line(entry.to, 60)}{_tail(entry.text)}"
    if isinstance(entry, e.KeptEvidence):
        return "kept", f"{entry.about}: {one_line(entry.text, 300)}"
    return _more_words(entry, words)


def _more_words(entry: e.Entry, words: Words) -> tuple[str, str]:
    if isinstance(entry, e.Note):
        return "note", one_line(entry.text, 2000)
    if isinstance(entry, e.StatusSet):
        return "status", f"{entry.status}{_tail(entry.text)}"
    if isinstance(entry, e.Outcome):
        causes = ", ".join(words.cause(cause)[0] for cause in entry.causes)
        proven = "proven" if entry.proven else "not proven"
        return "outcome", f"{entry.result}{f': {causes}' if causes else ''} ({proven}){_tail(entry.text)}"
    if isinstance(entry, e.Believed):
        top = sorted(entry.ranking.items(), key=lambda pair: (-pair[1], pair[0]))[:3]
        return "ranking", "; ".join(f"{words.cause(cause)[0]} {100 * chance:.0f} %" for cause, chance in top)
    if isinstance(entry, e.Retracted):
        return "taken back", f"entry {entry.target}{_tail(entry.why)}"
    if isinstance(entry, e.Replaced):
        return "corrected", f"entry {entry.target} is now: {entry_words(entry.by, words)[1]}"
    return "other", "an entry that only a newer program can read"


def _tail(text: str) -> str:
    return f"; {one_line(text, 1000)}" if text else ""
