"""What entries share is said once: it fills what an entry leaves out, overrules none, and makes a new cause short."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from diag.rulebook.lint.run import lint_folder
from diag.rulebook.load import book_from_texts, load_book, read_texts
from diag.rulebook.where import rules_folder
from diag.ui.cli.main import main

BOOK = """
format: 1
version: tiny
areas: {return: Return line}
usual:
  causes: {kind: damage, how_often: {basis: judgement}, source: nobody wrote it down}
  steps: {person: mechanic, minutes: 5}
  remedies: {botch: 0.2}
acts:
  runs pump: {undoes: [let-off]}
  runs engine: {with: [key on, runs pump], undoes: [stopped]}
  drives car: {with: [runs engine]}
effects:
  narrowed: {return restriction hole: {set: [1 mm, 2 mm]}}
causes:
  - cause: squashed
    title: Return squashed
    area: return
    in_words: It lies under a wheel.
    how_often: {share: common, why: seen a lot}
    acts_on: narrowed
    remedies: [free-return]
  - cause: hot-and-squashed
    title: Return squashed and pump slow
    area: return
    kind: sizing
    in_words: Both.
    how_often: {share: rare, basis: computed, why: counted}
    acts_on: [{pump flow factor: {times: [0.5, 0.6]}}, narrowed]
    remedies: [free-return]
    source: a book
setups:
  - {setup: let-off, title: Pressure let off, why: Safe., steps: [Bleed.], does: []}
  - {setup: stopped, title: Engine stopped, why: Safe., steps: [Stop.], does: []}
remedies:
  - {remedy: free-return, title: Free it, why: Flow., steps: [Free it.], does: [drives car]}
  - {remedy: look-at-it, title: Look, why: To see., steps: [Look.], does: [drives car], undoes: [],
     person: shop, botch: 0.4}
"""


def test_what_is_usual_fills_what_an_entry_leaves_out_and_nothing_else() -> None:
    """Also inside a mapping of its own; an entry that says otherwise has the last word."""
    book = book_from_texts({"book.yaml": BOOK})
    short, long = book.causes["squashed"], book.causes["hot-and-squashed"]
    assert (short.kind, short.how_often.basis.kind, short.source) == ("damage", "judgement", "nobody wrote it down")
    assert (long.kind, long.how_often.basis.kind, long.source) == ("sizing", "computed", "a book")
    assert (book.remedies["free-return"].person, book.remedies["look-at-it"].person) == ("mechanic", "shop")
    assert (book.remedies["free-return"].botch, book.remedies["look-at-it"].botch) == (0.2, 0.4)
    assert book.setups["let-off"].minutes == 5.0


def test_an_act_brings_what_comes_with_it() -> None:
    """Through several links; what is gone afterwards follows, unless the step says so itself."""
    book = book_from_texts({"book.yaml": BOOK})
    driven, looked = book.remedies["free-return"], book.remedies["look-at-it"]
    assert driven.does == ("key on", "runs pump", "runs engine", "drives car") == looked.does
    assert (set(driven.undoes), looked.undoes) == ({"let-off", "stopped"}, ())


def test_a_named_effect_does_the_same_for_all_who_name_it() -> None:
    """Alone and beside others, in the order in which they are written."""
    book = book_from_texts({"book.yaml": BOOK})
    (narrowed,) = book.causes["squashed"].acts_on
    assert (narrowed.parameter, narrowed.low, narrowed.high) == ("return restriction hole", 0.001, 0.002)
    assert [e.parameter for e in book.causes["hot-and-squashed"].acts_on] == ["pump flow factor", narrowed.parameter]
    assert book.causes["hot-and-squashed"].acts_on[1] == narrowed


def test_what_a_step_does_is_never_usual() -> None:
    """The wall reads it, so nobody may leave it to a list far away; no name is usual either."""
    for line in ("does: [key on]", "formerly: [old]", "check: same"):
        found = read_texts({"book.yaml": f"usual:\n  checks: {{{line}}}\n"}).problems
        assert ["cannot be usual" in p.what for p in found if p.rule == "unknown-field"] == [True], line


def test_the_same_list_twice_is_refused() -> None:
    """Two places that say what is usual would be none."""
    for name in ("usual", "acts", "effects"):
        found = read_texts({"a.yaml": f"{name}: {{}}\n", "b.yaml": f"{name}: {{}}\n"}).problems
        assert any(p.rule == "repeated" and f"two lists of {name}" in p.what for p in found)


def test_nothing_that_allows_more_is_usual_in_the_shipped_book() -> None:
    """A step that says nothing of it is for a mechanic, not for the phone, and not made for leaks."""
    usual = read_texts({"book.yaml": (rules_folder() / "book.yaml").read_text(encoding="utf-8")}).shared.usual
    for section in ("checks", "setups", "remedies", "actions"):
        said = {name: getattr(node, "text", "") for name, node in usual[section].items.items()}
        assert (said["person"], said["by_phone"], said["for_leaks"]) == ("mechanic", "no", "no")


CAUSE = """
  - cause: return-tee-sealant
    title: Sealant inside a return fitting
    area: return
    in_words: Sealant wound over the first thread was cut off as the fitting went in and lies across its bore.
    how_often: {share: rare, why: needs tape or paste where none belongs}
    more_likely_when: {just-plumbed: 4}
    acts_on: return-narrowed
    shows: {sealant-in-fitting: usually, return-section-choked: usually, worse-at-high-volts: often}
    silent:
      - {signs: [return-kink-seen, return-parts-in-line, return-bridge-cures], why: It sits inside the first fitting}
    remedies: [clear-return]
    confirmed_by: [look-into-return-fitting]
    tell_apart: White tape or paste shows at the threads; a kink or a filter is between the fittings.
"""
SIGN = """
  - sign: sealant-in-fitting
    title: Sealant hangs in a fitting
    ask: Does tape or paste hang into the bore of a return fitting?
    means: Look along the bore with a torch. Nothing may lie in front of the light.
    chance: 0.01
    why: Old fuel leaves a film that looks like paste
"""
CHECK = """
  - check: look-into-return-fitting
    title: Look into the return fittings
    why: What lies inside a fitting cannot be seen from outside.
    yields: [{sign: sealant-in-fitting}]
    tools: [hand-tools, container, torch]
    minutes: 15
    risk_minutes: 3
    hazards: [liquid-fuel, vapour, pressurised-fuel, hot-parts]
    does: [opens system]
    needs: [engine-off, pressure-released]
    steps:
      - Release the pressure and catch what runs out.
      - Take the return hose off at the regulator and look into the fitting with a torch.
      - Fit it again and look the joints over with the pump running.
"""


def _put(folder: Path, kind: str, beside: str, text: str) -> None:
    """Begin an entry as a contributor would, then fill it in."""
    name = re.search(rf"- {kind}: (\S+)", text)[1]  # type: ignore[index]
    assert main(["draft", kind, name, "--beside", beside, "--rules", str(folder)]) == 0
    for path in folder.rglob("*.yaml"):
        lines = path.read_text(encoding="utf-8").split("\n")
        head = f"  - {kind}: {name}"
        if head in lines:
            begin = lines.index(head)
            end = begin + 1
            while end < len(lines) and lines[end].startswith("    #"):
                end += 1
            path.write_text("\n".join([*lines[:begin], *text.strip("\n").split("\n"), *lines[end:]]), encoding="utf-8")


def test_a_cause_says_itself_of_which_signs_it_is_silent() -> None:
    """Nobody need touch the entries of others; the reason stands with the sign as if it were written there."""
    sign = (
        "  - {sign: kink, title: Kink, ask: A kink?, means: A sharp bend., chance: 0.01, basis: judgement, why: usual}"
    )
    own = "    silent: [{signs: [kink], why: It is flat}]\n    area: return\n    in_words: It lies under"
    text = f"{BOOK}signs:\n{sign}\n".replace("    area: return\n    in_words: It lies under", own)
    assert book_from_texts({"book.yaml": text}).signs["kink"].silent == {"squashed": "It is flat"}


def test_a_new_cause_with_its_sign_and_check_is_short_and_clean(tmp_path: Path) -> None:
    """A cause takes at most 15 lines, begun by `diag draft`; with its sign and check lint has nothing to say."""
    rules = tmp_path / "rules"
    shutil.copytree(rules_folder(), rules)
    before = load_book(rules)
    neighbour = next(c for c in before.causes if before.causes[c].area == "return")
    return_checks = (rules / "checks" / "return.yaml").read_text(encoding="utf-8")
    return_signs = (rules / "signs" / "return.yaml").read_text(encoding="utf-8")
    _put(rules, "cause", neighbour, CAUSE)
    _put(rules, "sign", re.search(r"- sign: (\S+)", return_signs)[1], SIGN)  # type: ignore[index]
    _put(rules, "check", re.search(r"- check: (\S+)", return_checks)[1], CHECK)  # type: ignore[index]
    assert len(CAUSE.strip("\n").split("\n")) <= 15
    assert [f"{p.place}: {p.rule}: {p.what}" for p in lint_folder(rules)] == []
    new = load_book(rules).causes["return-tee-sealant"]
    assert (new.kind, new.source, new.how_often.basis.kind) == ("damage", "common practice, no source", "judgement")
