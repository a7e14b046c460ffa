"""A pull at full load or in boost is an act of its own: a step whose words ask for one says so, and can be barred."""

import re
from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, sentences_of, steps_of
from diag.rulebook.load import Draft

PULL = re.compile(r"full throttle|full[- ]load|hard pull|\bpull (through|hard|a long)|long load|\brollers\b", re.I)
TALK = re.compile(r"\?|earlier log|only later|\bask\b|\bnot? |\bnever\b|which pressure|until ", re.I)


def find(draft: Draft) -> Iterator[Problem]:
    """Steps that ask for a pull without saying 'loads engine'."""
    for section, step in steps_of(draft.book):
        if "loads engine" in step.does:
            continue
        for field, sentence in sentences_of(step):
            if PULL.search(sentence) and not TALK.search(sentence):
                what = f"{step.id!r} asks for a pull: {sentence!r}."
                hint = "Add 'loads engine' to 'does', or put an earlier log, or 'full load only later', in its place."
                yield error("load-is-said", draft.place(section, step.id, field), what, hint)
