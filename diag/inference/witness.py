"""How reliable whoever answers is: unknown, shared by all their answers, and integrated out.

A witness is careful, usual or poor; at each level a sure answer is wrong with its own chance. Given the level the
answers err independently, so that the likelihood of all of them is a mixture over the levels of products,

    P(answers | H) = sum over levels l of P(l) * product over answers j of P(answer j | H, w_l)

and not a product of mixtures: one answer that cannot be true makes all others of the same person worth less. With
two witnesses the levels are those of both together. Source: the two-coin model of Dawid & Skene (1979), with the
levels discrete and both kinds of error alike.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from diag.inference.evidence import Evidence, Finding
from diag.inference.fault_sets import Floats

MOST_WITNESSES = 2  # whose level is integrated out: those who answered most; others err with their mean chance


def either(first: Floats | float, second: Floats | float) -> Floats:
    """Chance that at least one of two independent slips happens."""
    return np.asarray(first + second - first * second)


@dataclass(frozen=True)
class Levels:
    """The joint levels: ``log_share`` (L,), and for each witness that is integrated out its ``slips`` (L,)."""

    log_share: Floats
    slips: Mapping[int, Floats]

    @property
    def count(self) -> int:
        """How many joint levels there are."""
        return len(self.log_share)

    def wrong(self, finding: Finding) -> Floats:
        """The chance that this answer is wrong at every level: (L,)."""
        slip = self.slips.get(finding.witness)
        if slip is None:
            return np.full(self.count, finding.wrong)
        return either(slip * finding.care, finding.own_wrong)

    def mixed(self, logs: Floats) -> Floats:
        """Log of the average over the levels: (L, ...) to (...)."""
        if self.count == 1:
            return np.asarray(logs[0])
        weighted = logs + self.log_share.reshape(-1, *[1] * (logs.ndim - 1))
        top = weighted.max(axis=0)
        return np.asarray(top + np.log(np.exp(weighted - top).sum(axis=0)))


def alone() -> Levels:
    """One level: every answer is wrong with its own overall chance."""
    return Levels(np.zeros(1), {})


def levels_of(evidence: Evidence) -> Levels:
    """The joint levels of the witnesses who answered most."""
    said = Counter(f.witness for f in evidence.findings if 0 <= f.witness < len(evidence.witnesses))
    chosen = sorted(who for who, _ in said.most_common(MOST_WITNESSES))
    log_share = np.zeros(1)
    slips: dict[int, Floats] = {}
    for who in chosen:
        witness = evidence.witnesses[who]
        share, wrong = np.log(np.array(witness.shares)), np.array(witness.slips)
        slips = {w: np.repeat(s, len(share)) for w, s in slips.items()}
        slips[who] = np.tile(wrong, len(log_share))
        log_share = (log_share[:, None] + share).ravel()
    return Levels(log_share, slips)


def slip_now(evidence: Evidence, levels: Levels, posterior: Floats) -> float | None:
    """The chance that the next sure answer is wrong, after all that was told; None where nobody is known to answer."""
    if not evidence.witnesses:
        return None
    last = len(evidence.witnesses) - 1
    slip = levels.slips.get(last)
    return float(posterior @ slip) if slip is not None else evidence.witnesses[last].mean
