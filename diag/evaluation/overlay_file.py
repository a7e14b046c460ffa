"""The overlay as a YAML file beside the cases: readable, reviewable, switched off with one word.

overlay: cause frequencies       what this file is
format: 1
use: yes                         "no" switches it off
made: "2026-11-25T16:00:00Z"
book: {version, fingerprint}     the rule book whose causes were counted
strength: 200                    how many jobs the book's own frequencies weigh
causes: {cause id: proven jobs}
several: 12                      proven jobs with more than one cause
none: 30                         proven jobs with nothing wrong
refused: {reason: jobs}          what was passed over, and why
before: [...]                    earlier states, newest first
"""

from __future__ import annotations

from pathlib import Path

from diag.casework.lessons import Counts
from diag.evaluation.learning import Overlay
from diag.support.errors import Place, SourceError
from diag.support.yaml.reader import (
    Map,
    Node,
    as_flag,
    as_list,
    as_map,
    as_number,
    as_text,
    as_whole,
    dump_yaml,
    read_yaml,
)

FORMAT = 1
KIND = "cause frequencies"
MOST_JOBS = 10**8
_KEYS = ("overlay", "format", "use", "made", "book", "strength", "causes", "several", "none", "refused", "before")


def overlay_file(cases_folder: Path) -> Path:
    """Where a workshop's overlay lies: beside its folder of cases, never among them."""
    return cases_folder.parent / "learnt.yaml"


def write_overlay(overlay: Overlay) -> str:
    """The file's text."""
    head = "# What this workshop's closed jobs taught. Set 'use: no' to go back to the rule book alone.\n"
    return head + dump_yaml({"overlay": KIND, "format": FORMAT, **_plain(overlay)})


def _plain(overlay: Overlay) -> dict[str, object]:
    counts = overlay.counts
    plain: dict[str, object] = {
        "use": overlay.enabled,
        "made": overlay.made,
        "book": {"version": overlay.book_version, "fingerprint": overlay.book_fingerprint},
        "strength": overlay.strength,
        "causes": dict(counts.causes),
        "several": counts.several,
        "none": counts.none,
        "refused": dict(counts.refused),
    }
    if overlay.before:
        plain["before"] = [_plain(earlier) for earlier in overlay.before]
    return plain


def read_overlay(text: str, file: str = "learnt.yaml") -> Overlay:
    """Read the file.

    Raises:
        SourceError: with file, line and column. A broken overlay is never half used.
    """
    root = as_map(read_yaml(text, file), "An overlay")
    root.only(_KEYS, "an overlay")
    if as_text(root.need("overlay"), "'overlay'") != KIND:
        raise SourceError("This is not an overlay of cause frequencies.", "", Place(file, 1, 1))
    version = as_whole(root.need("format"), "'format'", 1)
    if version > FORMAT:
        raise SourceError("This overlay was written by a newer program.", "Make it anew: diag learn",
                          root.places["format"])  # fmt: skip
    return _overlay(root)


def _overlay(root: Map) -> Overlay:
    root.only(_KEYS, "an overlay")
    book = as_map(root.need("book"), "'book'")
    counts = Counts(
        _numbers(root, "causes"),
        as_whole(root.need("several"), "'several'", 0, MOST_JOBS),
        as_whole(root.need("none"), "'none'", 0, MOST_JOBS),
        _numbers(root, "refused"),
    )
    before = root.get("before")
    return Overlay(
        counts,
        as_text(root.need("made"), "'made'"),
        as_text(book.need("version"), "'version'"),
        as_text(book.need("fingerprint"), "'fingerprint'"),
        as_number(root.need("strength"), "'strength'", 1.0, 1e6),
        as_flag(root.need("use"), "'use'"),
        tuple(_overlay(as_map(node, "An earlier state")) for node in as_list(before)) if before else (),
    )


def _numbers(root: Map, key: str) -> dict[str, int]:
    found: Node = root.need(key) if key in root else Map({}, root.place)
    return {name: as_whole(node, repr(name), 0, MOST_JOBS) for name, node in as_map(found, repr(key)).items.items()}
