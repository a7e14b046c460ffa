"""Battery off, pressure released, joint opened, in this order; hoses clamped with the pump off; helpers listed."""

import re
from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, steps_of
from diag.rulebook.load import Draft
from diag.rulebook.steps import Setup, Step

RELEASE = re.compile(r"pressure (is |at |has been )?(released|zero|let off)|releas\w+( the| it)?( pressure)?", re.I)
BATTERY = re.compile(r"battery (negative|minus|lead)( is)? off|disconnect the battery", re.I)
OPENS = re.compile(r"^(open|unscrew|lift|drain|take (the |out |one )[^.]*\b(off|out)\b|loosen)\b", re.I)
PUMP_OFF = re.compile(r"pump(s)? (is |are |still )?off|switch(es)? (the pump )?off|stop it\b|engine off", re.I)
LETS_GO = re.compile(r"two seconds", re.I)
HELPER = re.compile(r"\bhelper\b|second person", re.I)


def find(draft: Draft) -> Iterator[Problem]:
    """Steps whose sentences stand in an order that hurts, or that need a helper they do not list."""
    for section, step in steps_of(draft.book):
        place = draft.place(section, step.id, "steps")
        for what, hint in wrong_orders(step):
            yield error("order-of-work", place, f"{step.id!r} {what}.", hint)


def wrong_orders(step: Step) -> Iterator[tuple[str, str]]:
    """What stands wrong in the steps of one entry, with what to do about it."""
    text = " ".join(step.steps)
    release, battery = RELEASE.search(text), BATTERY.search(text)
    if "opens system" in step.does and not (isinstance(step, Setup) and step.releases_pressure):
        if release is None:
            yield "opens the system and its steps do not name the release", "Begin with releasing the pressure."
        elif any(OPENS.match(s) for s in step.steps if text.index(s) < release.start()):
            yield "opens a joint before the pressure is released", "Put the release before the first joint."
        if battery and release and battery.start() > release.start():
            yield "takes the battery off after fuel was let out", "Battery negative off first, while nothing is wet."
    clamps = {"pinches hose", "runs pump"} <= set(step.does)
    if clamps and not (PUMP_OFF.search(text) or LETS_GO.search(text)):
        yield "clamps a hose and does not say that the pump is off", "Clamp with the pump off, or for two seconds."
    if HELPER.search(text) and "helper" not in step.tools:
        yield "speaks of a helper and does not list one", "Add helper to 'tools', or word it for one person."
