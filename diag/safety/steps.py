"""Steps and names the safety wall itself knows: the staged way back from wet fuel and the quiet pressure release.

A rule book may carry steps of the same ids in better words; these stand in when it does not, so that the way back
never depends on a file.
"""

from __future__ import annotations

from typing import Literal

from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Act, Check, Setup, Step

Look = Literal["", "dry", "wet", "unsure"]

RUNS: frozenset[Act] = frozenset({"key on", "runs pump", "runs engine", "cranks engine", "drives car"})
OPENS: frozenset[Act] = frozenset({"opens system", "disturbs joint", "loads spring"})
TRAINED = frozenset({"mechanic", "shop"})

LOOK_OVER = "look-over"
LOOK_AFTER_REPAIR = "look-over-after-repair"
DRY_LOOK = "dry-look"  # the look-over as other steps need it
RELEASED = "pressure-released"
RELEASED_QUIETLY = "pressure-released-fuse-out"
ENGINE_OFF = "engine-off"
FUSE_OUT = "fuse-out"
SAFE_SETUPS = frozenset({ENGINE_OFF, FUSE_OUT})  # they only take danger away
WIPE = "wipe-dry-and-prove"  # what is left to a trained person when fuel is outside and no leak is likely
PRIME = "prime-two-seconds"
SHORT_RUN = "run-sixty-seconds"

STAGES = ("dry look", "two second prime", "look again", "sixty second run", "final look")
LOOK_STAGES = frozenset({"dry look", "look again", "final look"})
STAGE_STEP = {"two second prime": PRIME, "sixty second run": SHORT_RUN}

UNTRAINED_WET = (
    "Switch everything off and leave the key alone.",
    "Do not crank and do not drive.",
    "No flames, lamps, switches or tools near the car; get everybody away from it.",
    "Let fresh air in by opening doors, without switching fans.",
    "Have a trained person come to the car.",
)


def _proof_step(step_id: str, title: str, steps: tuple[str, ...], does: tuple[Act, ...], minutes: float) -> Check:
    return Check(
        id=step_id,
        title=title,
        why="After a leak the system comes back under pressure a little at a time, with somebody watching.",
        steps=steps,
        aloud=steps,
        minutes=minutes,
        tools=(),
        hazards=("liquid-fuel", "vapour", "pressurised-fuel"),
        does=does,
        needs=(),
        undoes=(FUSE_OUT, RELEASED),
        person="mechanic",
        by_phone=True,
        for_leaks=False,
        risk_minutes=2.0,
    )


BUILT_IN: dict[str, Step] = {
    PRIME: _proof_step(
        PRIME,
        "Prime for two seconds, one person at the switch",
        (
            "Put the pump fuse back; one person at the switch, one watching the repair, extinguisher within reach.",
            "Key on for two seconds, then off. At the first drop of fuel: off at once, and stay off.",
        ),
        ("key on", "runs pump"),
        2.0,
    ),
    SHORT_RUN: _proof_step(
        SHORT_RUN,
        "Run for sixty seconds, one person at the switch",
        (
            "One person stays at the switch, one watches the repair, extinguisher within reach.",
            "Start and let it idle for sixty seconds, then off. At the first drop of fuel: off at once.",
        ),
        ("key on", "runs pump", "cranks engine", "runs engine"),
        3.0,
    ),
    RELEASED_QUIETLY: Setup(
        id=RELEASED_QUIETLY,
        title="Release the pressure with the pump fuse out",
        why="With fuel outside nothing may run, so the pressure is let off without key or engine.",
        steps=(
            "Pump fuse out, key out, engine cold, extinguisher within reach, gloves and eye protection on.",
            "Wrap the joint nearest the leak in a cloth, turn your face away and ease it slowly over a metal can.",
            "Wait until nothing more comes, then mop up and take the wet cloth outdoors in a closed metal box.",
        ),
        aloud=(),
        minutes=10.0,
        tools=("hand-tools", "container"),
        hazards=("liquid-fuel", "vapour", "pressurised-fuel"),
        does=("opens system", "disturbs joint"),
        needs=(ENGINE_OFF, FUSE_OUT),
        undoes=(),
        person="mechanic",
        by_phone=False,
        for_leaks=True,
        risk_minutes=4.0,
        releases_pressure=True,
    ),
}


def told_only(step: Step) -> bool:
    """Whether a check is answered by telling alone: no tool in hand, nothing done, nothing prepared."""
    if not isinstance(step, Check) or step.look_over or step.tools or step.does or step.needs:
        return False
    return all(y.sign for y in step.yields)


def questions_only(step: Step) -> bool:
    """Whether a check is nothing but several questions to the person: each is then asked by itself."""
    return told_only(step) and isinstance(step, Check) and len(step.yields) > 1


def find_step(book: RuleBook, step_id: str) -> Step | None:
    """The step of this id: check, setup, remedy, action or built-in step; None when nobody knows it."""
    for shelf in (book.checks, book.setups, book.remedies, book.actions):
        if step_id in shelf:
            return shelf[step_id]
    return BUILT_IN.get(step_id)


def step_ids(book: RuleBook) -> tuple[str, ...]:
    """Every id ``find_step`` knows, for near misses."""
    return (*book.checks, *book.setups, *book.remedies, *book.actions, *BUILT_IN)


def look_check(book: RuleBook, after_repair: bool = False) -> Check | None:
    """The look-over to ask for: the book's own, the one for repairs where it is wanted and there is one."""
    wanted = (LOOK_AFTER_REPAIR, LOOK_OVER) if after_repair else (LOOK_OVER, LOOK_AFTER_REPAIR)
    for check_id in wanted:
        if check_id in book.checks:
            return book.checks[check_id]
    return next((c for c in book.checks.values() if c.look_over), None)


def look_places(book: RuleBook) -> frozenset[str]:
    """The wet signs the look-over must have answered, one by one."""
    check = book.checks.get(LOOK_OVER)
    checks = [check] if check else [c for c in book.checks.values() if c.look_over]
    asked = {y.sign for c in checks for y in c.yields if y.sign}
    return frozenset(s for s in asked if s in book.signs and book.signs[s].wet)
