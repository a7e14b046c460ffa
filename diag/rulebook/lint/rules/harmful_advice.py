"""Advice that has hurt people or engines and never stands in a step, except to forbid it."""

import re
from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, sentences_of, steps_of
from diag.rulebook.load import Draft

HARM: dict[str, str] = {
    r"\b(cut|shorten|grind|clip)\w*\b[^.]*\bspring": "cuts a spring",
    r"\bunfused\b|\bpaper clip\b|without a fuse": "feeds the pump without a fuse",
    r"\b(tape|sealant|paste)\b[^.]*\b(on|round)\b[^.]*\b(o-ring|flare|cone|straight thread)": "puts sealant on a seat",
    r"\b(starting fluid|start spray|brake cleaner)\b": "sprays something that burns into a running or cranking engine",
    r"\bpour\w*\b[^.]*\b(fuel|petrol)\b[^.]*\b(intake|throttle)": "pours fuel into the intake",
    r"\bwater\b[^.]*\bon\b[^.]*\bhot (fuel|engine|part)|\bpour\w* (cold )?water\b": "pours water on hot parts",
    r"\b(drive|driv\w+)\b[^.]*\bcap (off|loose)": "drives with the filler cap off",
    r"\bplug\b[^.]*\b(nipple|reference port)\b[^.]*\bdriv": "plugs the reference and drives on",
    r"\bopen (bucket|bowl|pan)\b": "catches fuel in an open vessel",
    r"\bleave\b[^.]*\b(bridge|lead|clamp|pinched|squeezed)\b": "leaves a test aid in place",
    r"\b(siphon|suck)\w*\b[^.]*\bmouth": "siphons by mouth",
    r"\braise\b[^.]*\bbase\b[^.]*\b(cover|make up)": "covers a fault with base pressure",
    r"\b(bigger|larger) fuse\b": "fits a bigger fuse",
    r"\bfeel\b[^.]*\b(leak|joint)\b[^.]*\b(hand|finger)": "feels for a leak by hand",
}
FORBIDS = re.compile(r"\b(never|not|no|nobody|nothing|without|stop|instead of|must not|cannot)\b|\?", re.I)


def find(draft: Draft) -> Iterator[Problem]:
    """Sentences that give such advice."""
    for section, step in steps_of(draft.book):
        for field, sentence in sentences_of(step):
            for pattern, harm in HARM.items():
                if re.search(pattern, sentence, re.I) and not FORBIDS.search(sentence):
                    what = f"{step.id!r} {harm}: {sentence!r}."
                    yield error(
                        "harmful-advice", draft.place(section, step.id, field), what, "Say it as what never to do."
                    )
