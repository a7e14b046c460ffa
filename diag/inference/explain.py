"""Why: what each entry contributes, how the ranking came about, which entry fits least, what else to find out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diag.fuelsystem.fields import FIELD_OF
from diag.fuelsystem.normal import normal_below
from diag.inference.evidence import Evidence, Finding, Reading
from diag.inference.expected_reading import Spread, predicted_reading
from diag.inference.fault_sets import Floats
from diag.inference.model import Model
from diag.inference.noisy_or import stages_of
from diag.inference.posterior import Belief, belief
from diag.inference.predictive import Outlook
from diag.inference.readings.predictor import Asked, Group, lone
from diag.inference.readings.stretched import RANGES, SIZES
from diag.inference.readings.told_case import Case
from diag.rulebook.findings import PRESENT
from diag.rulebook.steps import Yield

LOG10 = float(np.log(10.0))
BELIEF_BYTES = 20_000  # that a belief takes besides its rows
SLICES = 4  # an unknown field is told "in this quarter of what it could be"

ASKED: dict[str, str] = {
    **SIZES,
    **RANGES,
    **{
        name: FIELD_OF[name]
        for name in (
            "target pressure",
            "pump rated pressure",
            "pump rated volts",
            "diaphragm diameter",
            "return bends",
            "idle vacuum",
            "atmosphere",
            "battery volts",
            "tank level",
            "injector count",
        )
    },
}
"""Parameters whose field is worth asking for, with that field."""


@dataclass(frozen=True)
class EntryWeight:
    """What one entry does to each cause, all other entries standing: log10 of the factor on the cause's odds.

    Plus 0.3 doubles the odds, minus 1 divides them by ten.
    """

    entry: int
    log10: dict[str, float]


@dataclass(frozen=True)
class Running:
    """The ranking after one entry, in the order told."""

    entry: int
    ranked: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class ReadingView:
    """A reading beside what the healthy car and the leading causes would have shown, judged without this reading."""

    entry: int
    reading: str
    point: str
    value: float
    healthy: Spread
    causes: dict[str, Spread]


@dataclass(frozen=True)
class FieldWorth:
    """How many nats about the causes it is worth on average to be told a field of the car that is not known."""

    field: str
    nats: float


def entries_of(evidence: Evidence) -> list[int]:
    """Numbers of the entries that said something about signs or readings, in order."""
    return sorted({f.entry for f in evidence.findings} | {r.entry for r in evidence.readings})


def _log_odds(result: Belief) -> Floats:
    p = np.clip(result.ever, 1e-12, 1.0 - 1e-12)
    return np.asarray(np.log(p / (1.0 - p)))


def weights(model: Model, evidence: Evidence) -> list[EntryWeight]:
    """Weight of evidence of every entry, found by leaving it out."""
    whole = _log_odds(belief(model, evidence))
    result = []
    for entry in entries_of(evidence):
        change = (whole - _log_odds(_without(model, evidence, entry)[1])) / LOG10
        result.append(EntryWeight(entry, {c: round(float(w), 4) for c, w in zip(model.causes, change, strict=True)}))
    return result


def _without(model: Model, evidence: Evidence, entry: int) -> tuple[Evidence, Belief]:
    """The evidence with one entry left out, and what to believe of it; kept, since two explanations begin with it."""
    name = "without", id(evidence)
    kept: tuple[Evidence, dict[int, tuple[Evidence, Belief]]] | None = model.place.find(name)
    if kept is None or kept[0] is not evidence:
        kept = evidence, {}
    if entry not in kept[1]:
        rest = evidence.without_entry(entry)
        kept[1][entry] = rest, belief(model, rest)
        model.place.keep(name, kept, sum(BELIEF_BYTES + result.rows.nbytes for _, result in kept[1].values()))
    return kept[1][entry]


def running(model: Model, evidence: Evidence) -> list[Running]:
    """The ranking after each entry, as the story was told."""
    # From the end: the last ones ask for all predictions of which the first ones need some.
    told = entries_of(evidence)[::-1]
    return [Running(e, tuple(belief(model, until(evidence, e)).ranked())) for e in told][::-1]


def until(evidence: Evidence, entry: int) -> Evidence:
    """What was told up to and including an entry; remedies and actions after it have not happened yet."""
    findings = tuple(f for f in evidence.findings if f.entry <= entry)
    readings = tuple(r for r in evidence.readings if r.entry <= entry)
    last = max((*(f.epoch for f in findings), *(r.epoch for r in readings)), default=0)
    epochs = tuple(e for at, e in enumerate(evidence.epochs) if at <= last or e.entry <= entry)
    return replace(evidence, findings=findings, readings=readings, epochs=epochs)


def reading_views(model: Model, evidence: Evidence, causes: Sequence[str]) -> list[ReadingView]:
    """Every plain reading beside the predictions of these causes, each by itself; without each reading in turn."""
    return [_view_of(model, evidence, taken, causes) for taken in evidence.readings]


def reading_view(model: Model, evidence: Evidence, entry: int, causes: Sequence[str]) -> ReadingView | None:
    """One reading beside the predictions of these causes; None when the entry is no reading that counts."""
    taken = next((reading for reading in evidence.readings if reading.entry == entry), None)
    return _view_of(model, evidence, taken, causes) if taken is not None else None


def _view_of(model: Model, evidence: Evidence, taken: Reading, causes: Sequence[str]) -> ReadingView:
    before = _just_before(evidence, taken)

    def told(names: Sequence[str]) -> Spread:
        return predicted_reading(model, names, taken.reading, taken.point, before, taken.conditions)

    spreads = {cause: told([cause]) for cause in causes}
    return ReadingView(taken.entry, taken.reading, taken.point, taken.value, told([]), spreads)


def _just_before(evidence: Evidence, taken: Reading) -> Evidence:
    """All but this reading's entry, with the job as it stood in the reading's epoch."""
    rest = evidence.without_entry(taken.entry)
    return _up_to_epoch(rest, taken.epoch)


# ---------------------------------------------------------------------- surprise


@dataclass(frozen=True)
class Misfit:
    """How badly the worst entry fits: ``surprise`` in log10 units above what the model expects, 0 when none."""

    surprise: float
    entry: int | None


def misfit(model: Model, evidence: Evidence) -> Misfit:
    """Which entry is rarest, given all the others, against what the model expects of such an entry.

    For an answer: how much rarer it was than an answer to this question is on average. For a reading: how far out in
    the tail of what was predicted it lies. Both in powers of ten; below zero counts as no surprise.
    """
    worst = Misfit(0.0, None)
    for entry in entries_of(evidence):
        surprise = _entry_surprise(model, evidence, entry)
        if worst.entry is None or surprise > worst.surprise:
            worst = Misfit(round(max(surprise, 0.0), 3), entry)
    return worst


def _entry_surprise(model: Model, evidence: Evidence, entry: int) -> float:
    said = [f for f in evidence.findings if f.entry == entry]
    read = [r for r in evidence.readings if r.entry == entry]
    items: list[Finding | Reading] = [*said, *read]
    total = 0.0
    for item in items:
        if item.epoch == len(evidence.epochs) - 1:
            rest, result = _without(model, evidence, entry)
        else:
            rest = _up_to_epoch(evidence.without_entry(entry), item.epoch)
            result = belief(model, rest)
        ahead = Outlook(model, rest, result, np.arange(len(result.rows)), one=True)
        total += _sign_surprise(ahead, item) if isinstance(item, Finding) else _reading_surprise(ahead, item)
    return total


def _up_to_epoch(evidence: Evidence, epoch: int) -> Evidence:
    return replace(
        evidence,
        findings=tuple(f for f in evidence.findings if f.epoch <= epoch),
        readings=tuple(r for r in evidence.readings if r.epoch <= epoch),
        epochs=evidence.epochs[: epoch + 1],
    )


def _sign_surprise(ahead: Outlook, finding: Finding) -> float:
    labels, table = ahead.table(Yield(sign=finding.sign))
    chance = np.maximum(ahead.belief.weights @ table, 1e-12)
    chance /= chance.sum()
    told = _chance_of_answer(finding, labels, chance)
    expected = -float((chance * np.log(chance)).sum())
    return (-float(np.log(told)) - expected) / LOG10


def _chance_of_answer(finding: Finding, labels: Sequence[str], chance: Floats) -> float:
    """How likely just this answer was, from the chances of the plain ones; one in between leans to both sides."""
    wrong = finding.wrong
    if labels[0] == PRESENT:
        says = (1.0 - wrong) * chance[0] + finding.invented(wrong) * (1.0 - chance[0])
        plain = np.array([says, 1.0 - says])
    else:
        plain = (1.0 - wrong) * chance + wrong * (1.0 - chance) / max(len(labels) - 1, 1)
    if finding.between is not None:
        return float(finding.between * plain[0] + (1.0 - finding.between) * plain[1])
    return float(np.mean([plain[labels.index(answer)] for answer in finding.choices]))


def _reading_surprise(ahead: Outlook, taken: Reading) -> float:
    """Minus log10 of the two-sided tail beyond the value, minus its average (0.43); limits count one-sided."""
    kind = ahead.model.book.readings[taken.reading]
    settings = ahead.physics.frozen_settings(taken.point, taken.conditions, taken.gauge)
    redraws = tuple(e.redraws for e in ahead.evidence.epochs[1:])
    asked = Asked(taken.reading, settings, redraws, ahead.stage)
    values = ahead.physics.predict(ahead.live, [asked], ahead.count)[..., 0]
    spread = float(np.sqrt(kind.error**2 + kind.model_error**2 + kind.offset**2))
    mass = ahead.weights * ahead.share[:, None]
    below = float((normal_below((taken.high - values) / spread) * mass).sum())
    above = float((normal_below((values - taken.low) / spread) * mass).sum())
    one_sided = above if taken.bound == "above" else below
    tail = one_sided if taken.bound else min(1.0, 2.0 * min(below, above))
    return -float(np.log10(max(tail, 1e-12))) - 1.0 / LOG10


# ---------------------------------------------------------------------- what else to find out


def unknown_worth(model: Model, evidence: Evidence) -> list[FieldWorth]:
    """Which unknown fields of the car would sharpen the ranking most if they were told, most first.

    The mutual information between the cause and the quarter of its range in which the field lies, given everything
    told: among sets of one physical cause or none, weighed by their chance. Fields worth less than a thousandth of
    a nat are left out.
    """
    physics = model.physics
    if physics is None:
        return []
    result = belief(model, evidence)
    groups: list[Group] = [(), *(lone(int(a)) for a in np.flatnonzero(physics.physical & (result.marginal > 0.005)))]
    share = np.array([0.0, *(result.marginal[g[0][0]] for g in groups[1:])])
    share[0] = max(1.0 - share.sum(), 0.0)
    share /= share.sum()
    fits = _draw_weights(model, evidence, groups)
    drawn = physics.pool.draws(())
    worth: dict[str, float] = {}
    for name, told in ASKED.items():
        if told in model.car.values or name not in drawn:
            continue
        usual = drawn[name][0]
        cuts = np.unique(np.quantile(usual, np.arange(1, SLICES) / SLICES))
        in_slice = np.zeros((len(groups), len(cuts) + 1))
        for row, group in enumerate(groups):
            values = physics.pool.taken(name, physics.chosen(name, group, physics.draws), ())
            np.add.at(in_slice[row], np.searchsorted(cuts, values), fits[row])
        # Few effective draws make any two columns look related, by about slices / (2 draws) nats (Miller, 1955).
        chance = float(share @ (len(cuts) * (fits**2).sum(axis=1))) / 2.0
        nats = mutual_information(share[:, None] * in_slice) - chance
        if nats >= 1e-3:
            worth[told] = max(nats, worth.get(told, 0.0))
    return [FieldWorth(f, round(n, 4)) for f, n in sorted(worth.items(), key=lambda item: (-item[1], item[0]))]


def _draw_weights(model: Model, evidence: Evidence, groups: Sequence[Group]) -> Floats:
    """Weight of every draw of every set, given the readings: (sets, N), rows sum to one."""
    physics = model.physics
    if physics is None:
        raise AssertionError("only called for a book with physical causes")
    seen = [f for f in evidence.findings if model.book.signs[f.sign].by_physics(f.choices)]
    if not evidence.readings and not seen:
        return np.full((len(groups), physics.draws), 1.0 / physics.draws)
    logs = Case(physics, evidence, seen, stages_of(evidence)).log_draws(groups, physics.draws)
    fits = np.exp(logs - logs.max(axis=1, keepdims=True))
    return np.asarray(fits / fits.sum(axis=1, keepdims=True))


def mutual_information(joint: Floats) -> float:
    """Nats shared by the row and the column of a joint table (a, b) that sums to one."""
    total = joint / joint.sum()
    expected = total.sum(axis=1, keepdims=True) * total.sum(axis=0, keepdims=True)
    inside = total > 0.0
    return float((total[inside] * np.log(total[inside] / expected[inside])).sum())
