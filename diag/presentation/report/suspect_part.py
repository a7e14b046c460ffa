"""A form for reporting a suspect part to whoever sold or made it: facts first, judgement apart and marked as such."""

from __future__ import annotations

from collections.abc import Sequence

from diag.presentation.figures import chance_words
from diag.presentation.report.markdown import escape
from diag.presentation.report.sheet import Sheet

_BLANK = "(nothing was recorded)"


def suspect_part_form(sheet: Sheet) -> str:
    """The form as Markdown; readable as plain text too.

    What was seen and what was told stand in their own sections; what the workshop concludes comes last.
    """
    part = sheet.part
    readings = [line.text for line in sheet.log if line.kind == "reading" and not line.state]
    out = [
        "# Report on a suspect part",
        "",
        f"Job `{sheet.id}`: {escape(sheet.title)}",
        f"Date of the last entry: {escape(sheet.changed[:10])}",
        "Part (name it as marked on the part itself): ______________________________",
        "Reported by: ______________________________",
        "",
    ]
    _section(out, "1. Where and when it was bought, as told", part.bought, "Told by the owner; not checked.")
    _section(
        out, "2. Marks seen on the part", part.marks, "Copied letter by letter; what could not be read is left out."
    )
    _section(out, "3. Found inside", part.inside, "What was seen, without conclusions.")
    _section(out, "4. Photographs", part.photos, "Names of the pictures that go with this form.")
    _section(out, "5. The car it was fitted to", [f"{line.label}: {line.text}" for line in sheet.car], "As told.")
    _section(out, "6. Measured on the car", readings, "Each with the value as typed.")
    _section(
        out, "7. Judgement of the workshop", _judgement(sheet), "This section is opinion; sections 1 to 6 are not."
    )
    out += [
        "Keep the part as it is, drained, dry and labelled, until an answer comes.",
        "Do not open it further: an opened part tells the maker less.",
        "Drain it outdoors, away from flames; fuel in a part gives off vapour for days.",
    ]
    return "\n".join(out) + "\n"


def _section(out: list[str], title: str, lines: Sequence[str], note: str) -> None:
    out += [f"## {title}", "", f"{note}", ""]
    out += [f"- {escape(line)}" for line in lines] or [f"- {_BLANK}"]
    out.append("")


def _judgement(sheet: Sheet) -> list[str]:
    """Conclusions, each with how far it is proven."""
    lines = []
    for cause in sheet.outcome_causes:
        proven = "proven by the checks after the repair" if sheet.proven else "not proven"
        lines.append(f"Cause as the workshop sees it: {cause.title} ({proven}).")
    if not lines and sheet.leader is not None:
        lines.append(f"Likeliest cause so far: {sheet.leader.title} ({chance_words(sheet.leader.chance)}, not proven).")
    lines.append("The readings cannot tell a fault in making from damage by dirt, age or fitting.")
    return lines
