"""Which judgements of the book move rankings most: where an hour of data would pay.

For every figure that is a judgement, how far one step of its scale would move the chance of its cause, summed over the
worked cases. First order, one cause at a time: a step d in the log-likelihood of cause c moves its chance P by
P (1 - P) d. For a link of strength q from cause to sign, with chance m of the sign by itself, the likelihood is
1 - (1 - m)(1 - q) of a yes and (1 - m)(1 - q) of a no; for a frequency, d is the log of one step between its words.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log

from diag.casework.entries import Case
from diag.casework.replay import ModelCache, Standing, standing
from diag.rulebook.basis import Basis
from diag.rulebook.causes import Cause
from diag.rulebook.findings import ABSENT, PRESENT, Sign
from diag.rulebook.model import RuleBook

LINK_STEP = 0.15  # about one word on the scale of strengths
FREQUENCY_STEP = log(3.0)  # one word on the scale of frequencies
LEAST = 0.02  # chances outside this and its complement move too little to look at


@dataclass(frozen=True, slots=True)
class Lever:
    """One judgement: what it says, how far a step moves its cause in all cases together, in how many it matters."""

    what: str
    moved: float
    cases: int


def counted(book: RuleBook) -> dict[str, int]:
    """How many figures rest on what, by kind of basis; links without a basis of their own share that of the scale."""
    bases: list[Basis] = [c.how_often.basis for c in book.causes.values()]
    bases += [s.basis for s in book.signs.values()] + [s.basis for s in book.states.values()]
    bases += [r.basis for r in book.readings.values()] + [s.basis for s in book.stops.values()]
    bases += [h.basis for h in book.hazards.values()] + [p.basis for p in book.procedures.values()]
    bases += list(book.knobs.basis.values())
    counts = Counter(basis.kind for basis in bases)
    links = sum(len(c.shows) + len(c.hides) + sum(map(len, c.answers.values())) for c in book.causes.values())
    return {**dict(sorted(counts.items())), f"{book.knobs.strengths_basis.kind} (strengths of links)": links}


def levers(cases: Iterable[Case], book: RuleBook) -> list[Lever]:
    """Every judgement that moves something, the strongest first."""
    moved: Counter[str] = Counter()
    seen: Counter[str] = Counter()
    cache: ModelCache = {}
    for case in cases:
        for what, by in _of_case(standing(case, book, cache)):
            moved[what] += by  # type: ignore[assignment]
            seen[what] += 1
    found = [Lever(what, float(by), seen[what]) for what, by in moved.items()]
    return sorted(found, key=lambda lever: (-round(lever.moved, 9), lever.what))


def _of_case(then: Standing) -> Iterable[tuple[str, float]]:
    """Each judgement that bears on a cause still open in this case, with how far one step moves that cause."""
    belief, book = then.belief, then.book
    for name, chance in zip(belief.causes, belief.ever, strict=True):
        open_ = float(chance) * (1.0 - float(chance))
        if not LEAST <= float(chance) <= 1.0 - LEAST:
            continue
        cause = book.causes[name]
        if cause.how_often.basis.kind == "judgement":
            yield f"how often: {cause.title}", open_ * FREQUENCY_STEP
        for finding in then.evidence.findings:
            sign = book.signs[finding.sign]
            step = _step(cause, sign, finding.answer)
            if step > 0.0:
                yield f"link: {cause.title} shows {sign.title}", open_ * step


def _step(cause: Cause, sign: Sign, answer: str) -> float:
    """Change of the log-likelihood of this answer when the link is a step stronger; 0 without a link or for choices."""
    strength = cause.shows.get(sign.id, 0.0)
    if strength == 0.0 or answer not in (PRESENT, ABSENT):
        return 0.0
    if answer == PRESENT:
        return LINK_STEP * (1.0 - sign.chance) / (1.0 - (1.0 - sign.chance) * (1.0 - strength))
    return LINK_STEP / max(1.0 - strength, LINK_STEP)


def leverage_text(counts: dict[str, int], found: Sequence[Lever], most: int = 20) -> str:
    """The counts, and the judgements that move most."""
    lines = ["Figures by what they rest on:", *(f"  {count:5}  {kind}" for kind, count in counts.items()), ""]
    lines.append("Judgements that move the worked cases most (chance moved by one step of the scale, all cases):")
    lines += [f"  {lever.moved:5.2f} in {lever.cases:2} cases  {lever.what}" for lever in found[:most]]
    return "\n".join(lines)
