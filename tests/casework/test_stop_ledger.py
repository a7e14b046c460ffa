"""What lifts a stop: what the stop names, and nothing else."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache

import pytest

from diag.casework import record
from diag.casework.entries import Case, SignAnswer
from diag.casework.situation_of import situation_of
from diag.casework.stop_ledger import lifts
from diag.rulebook.findings import ABSENT, BOTH
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.safety.interlock import allowed
from diag.safety.limits import CAN_BURST

WHEN = {"at": "2026-05-02T09:00:00Z", "who": "Mira"}


@lru_cache
def shipped() -> RuleBook:
    return load_book(rules_folder())


def begun() -> Case:
    book = shipped()
    case = Case("hose", "Wren, rich and smelling", WHEN["at"], book.version, book.fingerprint)
    return record.person_told(case, book, "mechanic", second_person=True, **WHEN)


def sign(case: Case, name: str, answer: str, check: str = "") -> Case:
    return record.answer_sign(case, shipped(), name, answer, check=check, **WHEN)


def read(case: Case, point: str, text: str, kind: str = "rail pressure") -> Case:
    return record.take_reading(case, shipped(), kind, point, text, **WHEN)


def stops(case: Case) -> frozenset[str]:
    return situation_of(case, shipped()).stops


def test_a_hose_that_is_dry_with_everything_off_lifts_nothing() -> None:
    """Fuel was in the reference hose; it has run out since. Only diaphragm and then a dry hose lift the stop."""
    case = sign(begun(), "fuel-in-reference-hose", "yes", "pull-reference-hose")
    assert "fuel-in-reference" in stops(case)
    case = sign(case, "fuel-in-reference-hose", "no", "pull-reference-hose")
    assert "fuel-in-reference" in stops(case)
    case = record.step_done(case, shipped(), "hose-refitted", **WHEN)
    case = sign(case, "fuel-in-reference-hose", "no")
    assert "fuel-in-reference" in stops(case)
    case = record.step_done(case, shipped(), "renew-diaphragm", **WHEN)
    assert "fuel-in-reference" in stops(case), "the hose has not been looked into since"
    case = sign(case, "fuel-in-reference-hose", "no", "pull-reference-hose")
    assert "fuel-in-reference" not in stops(case)


def test_a_slip_of_the_tongue_can_be_taken_back() -> None:
    """What was never seen raises nothing: a retracted answer is no finding."""
    case = sign(begun(), "fuel-in-reference-hose", "yes")
    case = record.retract(case, case.entries[-1].number, **WHEN)
    assert "fuel-in-reference" not in stops(case)


def test_pressure_over_the_limit_is_not_lifted_by_a_hose_nor_by_a_lower_reading() -> None:
    """Another step that happens to be done cleared it before."""
    case = read(begun(), "pump-on-engine-off", "95 psi")
    assert "pressure-over-limit" in stops(case)
    case = record.step_done(case, shipped(), "hose-refitted", **WHEN)
    assert "pressure-over-limit" in stops(case)
    case = read(case, "idle-hose-on", "60 psi")
    assert "pressure-over-limit" in stops(case)
    case = record.step_done(case, shipped(), "clear-return", **WHEN)
    assert "pressure-over-limit" not in stops(case)


@pytest.mark.parametrize(
    ("kind", "point", "rule"),
    [
        ("rail pressure", "pump-on-engine-off", "pressure-over-limit"),
        ("rail pressure", "full-load", "pressure-over-limit"),
        ("pump outlet pressure", "pump-on-engine-off", "pump-outlet-over-limit"),
        ("regulator outlet pressure", "pump-on-engine-off", "return-over-limit"),
    ],
)
def test_above_87_psi_nothing_runs_wherever_it_was_read(kind: str, point: str, rule: str) -> None:
    """Rail, pump outlet and return side: the pump stays off, and so does every step that would run it."""
    book = shipped()
    case = read(begun(), point, "over 90 psi", kind)
    found = situation_of(case, book)
    assert rule in found.stops
    for step in [*book.checks.values(), *book.setups.values()]:
        if {"runs pump", "key on", "pinches hose"} & set(step.does):
            assert not allowed(found, step, book).allowed, step.id


def test_a_pinch_above_the_limit_bars_another_pinch_and_nothing_else() -> None:
    """Driven up on purpose, so the car left to itself is not over the limit."""
    case = read(begun(), "return-pinched", "over 87 psi")
    assert "dead-head-over-limit" in stops(case)
    assert "pressure-over-limit" not in stops(case)


def test_above_87_psi_with_the_adjuster_in_nothing_runs_until_it_is_backed_off() -> None:
    """The adjuster stays where it was turned: a lower reading lifts nothing, backing it off with the pump off does.

    87 psi: dead-head limit of service texts.
    """
    book = shipped()
    case = read(begun(), "screw-in", "over 87 psi")
    found = situation_of(case, book)
    assert "adjuster-in-over-limit" in found.stops
    assert not any(allowed(found, c, book).allowed for c in book.checks.values() if "runs pump" in c.does)
    assert "adjuster-in-over-limit" in stops(read(case, "screw-in", "60 psi"))
    assert "adjuster-in-over-limit" not in stops(record.step_done(case, book, "back-adjuster-off", **WHEN))


def test_a_fuse_that_blew_again_keeps_the_pump_off() -> None:
    """Base pressure, pinching, the relay swap and a direct lead all put current on the same wire."""
    book = shipped()
    found = situation_of(sign(begun(), "fuse-blows-again", "yes"), book)
    for name in ("base-pressure", "dead-head-test", "swap-relay", "direct-supply-test"):
        verdict = allowed(found, book.checks[name], book)
        assert not verdict.allowed
        assert "fuse" in verdict.why
    case = record.step_done(sign(begun(), "fuse-blows-again", "yes"), book, "swap-relay", **WHEN)
    assert "fuse-blows-again" in stops(case)


@pytest.mark.parametrize("name", ["fuel-hose-cracked", "hose-marking-wrong"])
def test_no_pressure_on_a_hose_that_is_unfit(name: str) -> None:
    """Renewed first, with a hose that says what it is for."""
    book = shipped()
    found = situation_of(sign(begun(), name, "yes"), book)
    running = [c for c in book.checks.values() if {"runs pump", "key on", "pinches hose"} & set(c.does)]
    assert running
    assert not any(allowed(found, check, book).allowed for check in running)


def test_a_boosted_engine_without_its_reference_is_not_pulled() -> None:
    """Told that the hose is off: no full load until it is on; without boost the same pull harms nothing."""
    book = shipped()
    case = sign(begun(), "hose-condition", "off-or-split")
    assert "reference-off-no-boost" in stops(case)
    assert "reference-off-no-boost" in stops(sign(case, "hose-condition", "sound")), "nobody has put it back"
    case = record.step_done(case, book, "hose-refitted", **WHEN)
    assert "reference-off-no-boost" in stops(case), "the hose that was put back has not been looked at"
    assert "reference-off-no-boost" not in stops(sign(case, "hose-condition", "sound"))
    case = record.car_fact(begun(), book, "boost", "0 psi", **WHEN)
    assert "reference-off-no-boost" not in stops(sign(case, "hose-condition", "off-or-split"))


def test_a_lean_engine_is_not_pulled() -> None:
    """Whatever is done besides, the stop stays until what feeds the engine was renewed or set."""
    for name in ("lean-in-boost", "lean-readings", "knocks-under-load"):
        case = sign(begun(), name, "yes")
        forbidden = {a for s in stops(case) for a in shipped().stops[s].forbids}
        assert "loads engine" in forbidden
        case = record.step_done(sign(case, name, "no"), shipped(), "renew-gauge", **WHEN)
        assert any("loads engine" in shipped().stops[s].forbids and "wet" not in s for s in stops(case))


# ------------------------------------------------------------------ all rules and all signs

DOUBTS = [("unsure", "own eyes"), ("sure", "second hand"), ("unsure", "second hand")]


def heard() -> list[tuple[str, str, str, tuple[str, ...]]]:
    """(rule, sign, answer that raises it, answers that do not) for every sign that any stop rule listens to."""
    found = []
    for rule in shipped().stops.values():
        for fact in rule.when:
            head, _, tail = fact.partition(":")
            if head in ("sign", "untold"):
                name, _, wanted = tail.partition("=")
                possible = shipped().signs[name].possible
                raising = wanted or next(a for a in possible if a != ABSENT)
                calm = tuple(a for a in possible if a != raising) if wanted else (ABSENT,)
                found.append((rule.id, name, raising, calm))
    return found


def doubted(case: Case, name: str, answer: str, doubt: tuple[str, str]) -> Case:
    entry = SignAnswer(len(case.entries) + 1, WHEN["at"], "Mira", name, answer, *doubt)  # type: ignore[arg-type]
    return replace(case, entries=(*case.entries, entry))


def told_of(rule: str, name: str, facts: frozenset[str]) -> set[str]:
    """What the rule hears of this sign."""
    return {f for f in shipped().stops[rule].when if f in facts and f.partition(":")[2].partition("=")[0] == name}


@pytest.mark.parametrize(("rule", "name", "raising", "calm"), heard())
def test_no_doubtful_answer_lifts_anything(rule: str, name: str, raising: str, calm: tuple[str, ...]) -> None:
    """Of every rule and sign: raised, or raised and repaired, or never looked at, a doubtful no leaves it as it was."""
    seen = doubted(begun(), name, raising, ("sure", "own eyes"))
    repaired = [seen]
    for step in [*shipped().remedies.values(), *shipped().actions.values()]:
        if lifts(shipped().stops[rule], step):
            repaired.append(record.step_done(seen, shipped(), step.id, **WHEN))
    for case in (begun(), *repaired):
        before = told_of(rule, name, situation_of(case, shipped()).facts)
        for answer in calm:
            for doubt in DOUBTS:
                after = situation_of(doubted(case, name, answer, doubt), shipped())
                assert told_of(rule, name, after.facts) == before, (answer, doubt)


@pytest.mark.parametrize(("rule", "name", "raising", "calm"), heard())
def test_a_doubtful_yes_raises_as_a_sure_one_does(rule: str, name: str, raising: str, calm: tuple[str, ...]) -> None:
    """Over a sure no as well; and what is told half or of two kinds counts as there."""
    for case in (begun(), *(doubted(begun(), name, no, ("sure", "own eyes")) for no in calm)):
        for doubt in DOUBTS:
            facts = situation_of(doubted(case, name, raising, doubt), shipped()).facts
            assert {f for f in told_of(rule, name, facts) if f.startswith("sign:")} == {
                f for f in shipped().stops[rule].when if f.startswith(f"sign:{name}")
            }
    if len(calm) > 1:
        both = doubted(begun(), name, f"{calm[0]}{BOTH}{raising}", DOUBTS[0])
        assert told_of(rule, name, situation_of(both, shipped()).facts)


def test_a_doubtful_correction_takes_no_danger_back() -> None:
    """A sure "no" in the place of a slip does; "no, I think" and "no, says my wife" leave the yes standing."""
    for name, stop in (("fuel-hose-cracked", "fuel-hose-unfit"), ("fuel-in-reference-hose", "fuel-in-reference")):
        case = sign(begun(), name, "yes")
        number = case.entries[-1].number
        for sure, source in (("sure", "own eyes"), *DOUBTS):
            no = SignAnswer(number, WHEN["at"], "Mira", name, ABSENT, sure, source)  # type: ignore[arg-type]
            edited = record.replace(case, number, no, **WHEN)
            assert (stop in stops(edited)) is ((sure, source) in DOUBTS)


def test_what_must_be_seen_gone_can_be_asked_about_while_the_rule_holds() -> None:
    """No rule waits for a look that it bars itself."""
    book = shipped()
    for rule in book.stops.values():
        for fact in rule.when if rule.asked_again else ():
            name = fact.partition(":")[2].partition("=")[0]
            if fact.startswith("sign:"):
                asking = [c for c in book.checks.values() if any(y.sign == name for y in c.yields)]
                assert any(not set(c.does) & set(rule.forbids) and c.id not in rule.bars for c in asking), rule.id


def test_every_pressure_that_a_check_reads_has_its_stop_above_87_psi() -> None:
    """Left to itself, pinched, with the adjuster in or air on the reference: each reading raises a rule of its own."""
    for check in shipped().checks.values():
        for item in check.yields:
            if item.reading in CAN_BURST:
                case = read(begun(), item.at, "over 90 psi", item.reading)
                assert stops(case) - stops(begun()), (check.id, item.at)


def test_a_rule_that_wants_proof_outlasts_its_repair() -> None:
    """Each rule with ``proven_by``, each repair that lifts it: a dry look changes nothing, the named check does."""
    book = shipped()
    rules = [rule for rule in book.stops.values() if rule.proven_by]
    assert rules
    for rule in rules:
        name = next(f for f in rule.when if f.startswith("sign:")).removeprefix("sign:")
        raised = sign(begun(), name, "yes")
        for step in book.remedies.values():
            if not lifts(rule, step):
                continue
            repaired = record.step_done(raised, book, step.id, **WHEN)
            looked = record.step_done(repaired, book, "look-over-after-repair", **WHEN)
            assert rule.id in stops(looked), (rule.id, step.id)
            for check in rule.proven_by:
                assert rule.id not in stops(record.step_done(looked, book, check, **WHEN)), (rule.id, step.id, check)
        for check in rule.proven_by:
            assert rule.id in stops(record.step_done(raised, book, check, **WHEN)), "nothing was repaired"
            assert not set(book.checks[check].does) & set(rule.forbids)


def test_what_a_rule_waits_for_beside_the_repair_is_named_as_a_fact() -> None:
    """A rule whose "until" asks for a test or a look after the repair says by which entry that is known."""
    about = re.compile(r"\b(?:since then|one for one|holds? .*air|has been looked at|is dry|has been checked)\b")
    for rule in shipped().stops.values():
        if rule.lifted_by and about.search(rule.until):
            assert rule.asked_again or rule.proven_by, rule.id
