"""The chapters of the handbook, made from the rule book and the physics."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import TypeVar

from diag.presentation.handbook.document import Block, Handbook, Link, Listing, Paragraph, Picture, Section, Table
from diag.presentation.handbook.document import lines as listed
from diag.presentation.handbook.typical import TYPICAL, TypicalCar, reads_picture, span
from diag.quantities import show
from diag.rulebook.basis import Basis
from diag.rulebook.causes import Cause
from diag.rulebook.findings import Sign
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Step
from diag.safety.steps import find_step

PEOPLE = {"untrained": "anybody", "hobbyist": "a practised hobbyist", "mechanic": "a mechanic", "shop": "a workshop"}
MOST_CAUSES = 25  # under one complaint, likeliest first


def handbook(book: RuleBook) -> Handbook:
    """The whole book: complaints, causes, checks, remedies, stops, procedures, words, and where figures come from."""
    typical = TypicalCar(book)
    return Handbook(
        "Fault finding on return-style fuel injection: the handbook",
        _front(book),
        (
            Section("complaints", "From the complaint", (), tuple(_complaints(book))),
            Section("causes", "Causes", (_typical_words(),), tuple(_areas(book, typical))),
            Section("checks", "Checks", (), tuple(_check(c, book) for c in _by_title(book.checks.values()))),
            Section("setups", "Preparations", (), tuple(_step(s, book) for s in _by_title(book.setups.values()))),
            Section("remedies", "Remedies", (), tuple(_remedy(r, book) for r in _by_title(book.remedies.values()))),
            Section("stops", "What must not be done, and until when", (), tuple(_stops(book))),
            Section("procedures", "Shop procedures", (), tuple(_procedures(book))),
            Section("words", "Everyday words", (_word_index(book),)),
            Section("bases", "Where the figures come from", (_bases(book),)),
        ),
    )


def _front(book: RuleBook) -> tuple[Block, ...]:
    return (
        Paragraph((
            "This work can hurt: pressurised fuel, vapour that finds a flame metres away, springs under load, exhaust "
            "gas, hot parts, alcohol fuels that poison and burn almost unseen. The car's own repair instructions, "
            "local fire and fuel-handling codes and licensed practice win wherever they differ.",
        ), strong=True),
        Paragraph((f"Made from rule book {book.version} ({book.fingerprint[:12]}).",)),
    )  # fmt: skip


def _typical_words() -> Paragraph:
    told = "; ".join(f"{field.replace('-', ' ')} {text}" for field, text in TYPICAL.items())
    return Paragraph((f"Readings under each cause are those of one typical car ({told}), nine readings of ten. ",))


StepKind = TypeVar("StepKind", bound=Step)


def _by_title(entries: Iterable[StepKind]) -> list[StepKind]:
    return sorted(entries, key=lambda entry: (entry.title.casefold(), entry.id))


# ------------------------------------------------------------------ complaints


def _complaints(book: RuleBook) -> Iterable[Section]:
    for sign in sorted((s for s in book.signs.values() if s.symptom), key=lambda s: s.title.casefold()):
        rows = _behind(sign, book)
        blocks: list[Block] = [Paragraph((sign.ask,)), Paragraph((sign.means,))]
        if sign.conditions:
            blocks.append(Paragraph(("What the fuel system does decides this one: see the readings of each cause.",)))
        if rows:
            blocks.append(Table("Behind it", ("Cause", "How often it shows this", "How often it is met"), tuple(rows)))
        blocks += listed("Said as", list(sign.phrases))
        yield Section(f"sign-{sign.id}", sign.title, tuple(blocks))


def _behind(sign: Sign, book: RuleBook) -> list[tuple[Link | str, ...]]:
    """The causes that show a sign, by how often they are met times how often they show it."""
    states = {state.id: share for state in book.states.values() if (share := state.seen_as.get(sign.id, 0.0)) > 0.0}
    found = []
    for cause in book.causes.values():
        hidden = 1.0
        for state, share in states.items():
            hidden *= 1.0 - share * cause.shows.get(state, 0.0)
        shown = 1.0 - (1.0 - cause.shows.get(sign.id, 0.0)) * hidden
        if shown >= 0.05:
            found.append((shown * cause.how_often.share, shown, cause))
    found.sort(key=lambda row: (-row[0], row[2].id))
    return [
        (Link(cause.title, f"cause-{cause.id}"), f"{100 * shown:.0f} %", cause.how_often.words)
        for _, shown, cause in found[:MOST_CAUSES]
    ]


# ------------------------------------------------------------------ causes


def _areas(book: RuleBook, typical: TypicalCar) -> Iterable[Section]:
    ordered = sorted(book.causes.values(), key=lambda c: (list(book.areas).index(c.area), c.title.casefold()))
    for area, causes in groupby(ordered, key=lambda c: c.area):
        yield Section(f"area-{area}", book.areas[area], (), tuple(_cause(c, book, typical) for c in causes))


def _cause(cause: Cause, book: RuleBook, typical: TypicalCar) -> Section:
    blocks: list[Block] = [Paragraph((cause.in_words,))]
    blocks.append(Paragraph((f"Met: {cause.how_often.words} ({_basis(cause.how_often.basis)}).",)))
    blocks += _shown(cause, book)
    blocks += _read(cause, book, typical)
    if cause.tell_apart:
        blocks.append(Paragraph(("Told from its neighbours: ", cause.tell_apart)))
    blocks += _links("Taken for it", [(book.causes[c].title, f"cause-{c}") for c in cause.mistaken_for])
    blocks += _links("Often brings with it", [(book.causes[c].title, f"cause-{c}") for c in cause.leads_to])
    blocks += _links("Proven by", [(book.checks[c].title, f"check-{c}") for c in cause.confirmed_by])
    blocks += _links("Cure", [(book.remedies[r].title, f"remedy-{r}") for r in cause.remedies])
    return Section(f"cause-{cause.id}", cause.title, tuple(blocks))


def _links(title: str, found: list[tuple[str, str]]) -> list[Block]:
    return [Listing(title, tuple((Link(words, to),) for words, to in found))] if found else []


def _shown(cause: Cause, book: RuleBook) -> list[Block]:
    shows = sorted(cause.shows.items(), key=lambda pair: -pair[1])
    lines: list[tuple[Link | str, ...]] = []
    for name, share in shows:
        if name in book.signs:
            lines.append((Link(book.signs[name].title, f"sign-{name}" if book.signs[name].symptom else ""),
                          f": {100 * share:.0f} % of the time"))  # fmt: skip
        else:
            lines.append((f"{book.states[name].title}: {100 * share:.0f} % of the time",))
    for name, row in cause.answers.items():
        best = max(row, key=lambda answer: (row[answer], answer))
        said = next((a.words for a in book.signs[name].choices if a.id == best), best)
        lines.append((f"{book.signs[name].title}: mostly {said}",))
    hidden = [book.signs[n].title if n in book.signs else book.states[n].title for n in cause.hides]
    return [
        *([Listing("What a person notices", tuple(lines))] if lines else []),
        *listed("Kept from showing", hidden),
    ]


def _read(cause: Cause, book: RuleBook, typical: TypicalCar) -> list[Block]:
    reads = typical.reads(cause.id)
    rows = [
        (book.readings[r.reading].title, book.points[r.point].title, span(r.sound, book.readings[r.reading].quantity),
         span(r.faulty, book.readings[r.reading].quantity))
        for r in reads if r.apart or r.reading == "rail pressure"
    ]  # fmt: skip
    if not rows:
        return []
    words = "; ".join(f"{point}: {faulty}" for _, point, _, faulty in rows)
    return [
        Picture(reads_picture(reads, book), words),
        Table("What the gauges then read", ("Reading", "Taken", "Sound car", "With this cause"), tuple(rows)),
    ]


# ------------------------------------------------------------------ steps


def _check(check: Check, book: RuleBook) -> Section:
    asks = [
        book.signs[y.sign].ask if y.sign else f"{book.readings[y.reading].ask} ({book.points[y.at].title})"
        for y in check.yields
    ]
    passes = [f"{figure.words} ({figure.basis.kind}: {figure.basis.why})" for figure in check.passes]
    teaches = (Paragraph((check.teaches,)),) if check.teaches else ()
    extra = (*listed("What it answers", asks), *listed("What a sound car shows", passes), *teaches)
    return _step(check, book, "check", extra)


def _remedy(remedy: Remedy, book: RuleBook) -> Section:
    cures = [(c.title, f"cause-{c.id}") for c in book.causes.values() if remedy.id in c.remedies]
    proof = [(book.checks[c].title, f"check-{c}") for c in remedy.proof if c in book.checks]
    extra = (*_links("Cures", cures), *listed("Parts", list(remedy.parts)), *_links("Proven by", proof))
    return _step(remedy, book, "remedy", extra)


def _step(step: Step, book: RuleBook, kind: str = "setup", extra: tuple[Block, ...] = ()) -> Section:
    blocks: list[Block] = [Paragraph((step.why,))] if step.why else []
    cautions = [
        f"{book.hazards[h].title}: {' '.join(book.hazards[h].cautions)}" for h in step.hazards if h in book.hazards
    ]
    blocks += listed("Take care", cautions)
    before = [(found.title, f"setup-{found.id}") for name in step.needs if (found := find_step(book, name))]
    blocks += _links("First", before)
    blocks += listed("Steps", list(step.steps), numbered=True)
    blocks += listed("Said on the phone", list(step.aloud))
    tools = [book.tools.get(tool, tool) for tool in step.tools]
    facts = [f"About {step.minutes:g} minutes.", f"For {PEOPLE[step.person]} or better trained."]
    facts += [f"Needs: {', '.join(tools)}."] if tools else []
    facts += [] if step.by_phone else ["Not asked of a caller."]
    blocks.append(Paragraph((" ".join(facts),)))
    return Section(f"{kind}-{step.id}", step.title, (*blocks, *extra))


# ------------------------------------------------------------------ stops, procedures, words, bases


def _stops(book: RuleBook) -> Iterable[Section]:
    for rule in book.stops.values():
        yield Section(f"stop-{rule.id}", rule.title, (
            Paragraph((rule.why,), strong=True),
            *listed("Now", list(rule.do_now)),
            *listed("Not allowed", list(rule.forbids)),
            Paragraph((f"Until: {rule.until}",)),
        ))  # fmt: skip


def _procedures(book: RuleBook) -> Iterable[Section]:
    for found in book.procedures.values():
        cautions = [f"{book.hazards[h].title}: {' '.join(book.hazards[h].cautions)}" for h in found.hazards]
        yield Section(f"procedure-{found.id}", found.title, (
            Paragraph((found.why,)),
            *listed("Take care", cautions),
            *listed("Steps", list(found.steps), numbered=True),
            Paragraph((f"From: {_basis(found.basis)}",)),
        ))  # fmt: skip


def _word_index(book: RuleBook) -> Listing:
    """Everyday words in the order of the alphabet, each with what it means or the term under which the book has it."""
    lines: set[tuple[str, str, str]] = set()
    for sign in book.signs.values():
        spoken = (*sign.phrases, *(phrase for answer in sign.choices for phrase in answer.phrases))
        lines |= {(phrase, sign.title, f"sign-{sign.id}" if sign.symptom else "") for phrase in spoken}
    for cause in book.causes.values():
        lines |= {(phrase, cause.title, f"cause-{cause.id}") for phrase in cause.phrases}
    for check in book.checks.values():
        lines |= {(phrase, check.title, f"check-{check.id}") for phrase in check.phrases}
    for reading in book.readings.values():
        lines |= {(phrase, reading.title, "") for phrase in reading.phrases}
    for context in book.contexts.values():
        lines |= {(phrase, context.title, "") for phrase in context.phrases}
    for term in book.vocabulary:
        lines |= {(word, f"see {term.term}", "") for word in (*term.also, *term.never) if word != term.term}
    ordered = sorted({(words.casefold(), title, to) for words, title, to in lines})
    return Listing("", tuple((f"{words}: ", Link(title, to)) for words, title, to in ordered))


def _basis(basis: Basis) -> str:
    return f"{basis.kind}: {basis.why}" if basis.why else basis.kind


def _bases(book: RuleBook) -> Table:
    rows = [(f"How often: {c.title}", _basis(c.how_often.basis)) for c in book.causes.values()]
    rows += [(f"By chance: {s.title}", _basis(s.basis)) for s in book.signs.values()]
    rows += [(f"Error of: {r.title}, {show(r.error, r.quantity)}", _basis(r.basis)) for r in book.readings.values()]
    rows += [(f"The book's {name.replace('_', ' ')}", _basis(basis)) for name, basis in book.knobs.basis.items()]
    return Table("", ("Figure", "Basis"), tuple(rows))
