"""A job as one HTML file: no scripts, nothing fetched, every text escaped, two printed pages."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence

from diag.presentation.drawing.lines import system_picture
from diag.presentation.figures import percent
from diag.presentation.pictures import course_picture, pressure_picture
from diag.presentation.report.sheet import LogLine, Sheet, Work
from diag.presentation.report.text import Audience, cautions, found_words, outcome_words
from diag.support.text import one_line

PRINTED_STEPS = 8  # per remedy on paper; the rest stays on the screen and in the file
# Two pages of A4 with these print styles: 74 lines each of about 120 letters, less a margin for headings that a page
# break pushes down; checked with a renderer for print.
CELL = 400  # letters of one entry
PAPER_LINES, LINE_LETTERS, PICTURE_LINES = 132, 118, 13
WHAT_LETTERS, WEIGHT_LETTERS, ROW_LINES = 58, 16, 0.9
_CSS = """
:root{color-scheme:light}
body{font:15px/1.4 sans-serif;color:#111;background:#fff;max-width:60rem;margin:1rem auto;padding:0 1rem}
h1{font-size:1.5rem;margin:.2rem 0}h2{font-size:1.05rem;margin:1rem 0 .2rem;border-bottom:1px solid #999}
p{margin:.2rem 0}ul,ol{margin:.2rem 0;padding-left:1.4rem}
table{border-collapse:collapse;width:100%}
td,th{border:1px solid #999;padding:.15rem .4rem;text-align:left;vertical-align:top}
.stop{border:3px double #111;padding:.4rem .8rem;margin:.6rem 0}.gone{text-decoration:line-through}
.bar{display:inline-block;height:.6rem;background:#555;vertical-align:middle}
.pair{display:flex;flex-wrap:wrap;gap:1rem}.pair svg{flex:1 1 20rem;max-width:40rem;height:auto}
.paper{display:none}
@page{size:A4;margin:12mm}
@media print{body{font-size:8.5pt;line-height:1.22;margin:0;padding:0;max-width:none}h1{font-size:13pt}
h2{font-size:9.5pt;margin:.35rem 0 .1rem}.screen{display:none}.paper{display:block}.pair svg{max-width:49%;flex:1 1 45%}
.stop,table,svg{break-inside:avoid}td,th{padding:0 .25rem}.log{font-size:7.5pt;line-height:1.15}}
"""


def html_report(sheet: Sheet, audience: Audience = "customer") -> str:
    """The whole page."""
    title = sheet.title or sheet.id
    body = [f"<h1>{_e(title)}</h1>", f"<p>Job {_e(sheet.id)}, opened {_e(sheet.opened[:10])}, {_e(sheet.status)}.</p>"]
    body += _stops(sheet)
    body += _pairs("The car", [(line.label, line.text) for line in sheet.car])
    body += _list("What was told", sheet.complaint)
    body += _list("What was found", found_words(sheet, audience))
    if audience == "workshop":
        body += _workings(sheet)
    for work in sheet.remedies:
        body += _work(work, audience)
    body += _list("Proof", [f"{'Done' if w.done else 'Not yet done'}: {w.title}" for w in sheet.proof])
    body += _list("Outcome", outcome_words(sheet))
    body += _list("Take care", [f"{line.label}: {line.text}" for line in cautions(sheet, audience)])
    if audience == "workshop":
        for one in sheet.data_logs:
            body += _list(f"Data log {one.name}", one.lines)
            body += [f'<div class="pair">{"".join(one.pictures)}</div>'] if one.pictures else []
        body += _list("Next", sheet.advice)
        body += _log(sheet.log, PAPER_LINES - paper_lines(sheet, audience))
        body += _list("Problems", sheet.problems)
        body.append(f"<p>Rule book {_e(sheet.book)}.</p>")
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{_e(title)}</title><style>{_CSS}</style></head><body>\n" + "\n".join(body) + "\n</body></html>\n"
    )


def _e(text: str, limit: int = 4000) -> str:
    """Text that can be nothing but text, in an element or an attribute."""
    return html.escape(one_line(text, limit), quote=True)


def _list(title: str, lines: Iterable[str]) -> list[str]:
    items = [f"<li>{_e(line)}</li>" for line in lines]
    return [f"<h2>{_e(title)}</h2>", "<ul>", *items, "</ul>"] if items else []


def _pairs(title: str, rows: Sequence[tuple[str, str]]) -> list[str]:
    if not rows:
        return []
    shown = "; ".join(f"<b>{_e(label)}</b>: {_e(text)}" for label, text in rows)
    return [f"<h2>{_e(title)}</h2>", f"<p>{shown}.</p>"]


def _stops(sheet: Sheet) -> list[str]:
    parts = []
    for stop in sheet.stops:
        items = "".join(f"<li>{_e(line)}</li>" for line in stop.do_now)
        parts.append(
            f'<div class="stop" role="alert"><p><b>STOP: {_e(stop.title)}.</b> {_e(stop.why)}</p>'
            f"<ul>{items}</ul><p>Until: {_e(stop.until)}</p></div>"
        )
    return parts


def _workings(sheet: Sheet) -> list[str]:
    """Ranking with bars, remark, and the two pictures side by side."""
    parts = ["<h2>Ranking</h2>", "<table>"]
    for r in sheet.ranking:
        if r.chance >= 0.005:
            width = max(1, round(160 * min(max(r.chance, 0.0), 1.0)))
            bar = f'<span class="bar" style="width:{width}px"></span>'
            parts.append(f"<tr><td>{percent(r.chance)}</td><td>{_e(r.title)}</td><td>{bar}</td></tr>")
    parts.append("</table>")
    if sheet.surprise:
        parts.append(f"<p>{_e(sheet.surprise)}</p>")
    if sheet.drawing is not None:
        key = "".join(f"<li>{_e(line)}</li>" for line in sheet.drawing.key)
        parts += ["<h2>Where it is</h2>", system_picture(sheet.drawing), f"<ul>{key}</ul>"]
    pictures = [p for p in (pressure_picture(sheet.chart), course_picture(sheet.course)) if p]
    if pictures:
        parts += ["<h2>Readings and course of the job</h2>", f'<div class="pair">{"".join(pictures)}</div>']
    if sheet.chart.band:
        parts.append("<p>Shaded: where nine sound cars in ten like this one would read.</p>")
    if any(dot.assumed for dot in sheet.chart.dots):
        parts.append("<p>A dashed circle: the manifold pressure was not measured with it.</p>")
    if any(dot.after for dot in sheet.chart.dots):
        parts.append("<p>A filled circle: read after a repair or another change of the car.</p>")
    return parts


def _work(work: Work, audience: Audience) -> list[str]:
    heading = f"{work.stage}: {work.title}"
    parts = [f"<h2>{_e(heading)}</h2>"]
    if audience == "workshop":
        screen = ' class="screen"'
        items = "".join(
            f"<li{screen if i >= PRINTED_STEPS else ''}>{_e(text)}</li>" for i, text in enumerate(work.steps)
        )
        parts.append(f"<ol>{items}</ol>")
        if len(work.steps) > PRINTED_STEPS:
            parts.append('<p class="paper">More steps are on the screen.</p>')
        if work.minutes:
            parts.append(f"<p>About {work.minutes:g} minutes.</p>")
    if work.parts:
        parts.append(f"<p>Parts: {_e(', '.join(work.parts))}</p>")
    return parts


def paper_lines(sheet: Sheet, audience: Audience) -> float:
    """About how many printed lines everything but the entries takes."""

    def of(title: bool, texts: Iterable[str]) -> float:
        listed = list(texts)
        return (1.7 if title and listed else 0) + sum(-(-max(len(t), 1) // LINE_LETTERS) for t in listed)

    total = 3 + sum(2 + of(False, (s.title + s.why, *s.do_now, s.until)) for s in sheet.stops)
    total += of(True, ["; ".join(f"{line.label}: {line.text}" for line in sheet.car)])
    minding = [f"{line.label}: {line.text}" for line in cautions(sheet, audience)]
    proof = [w.title for w in sheet.proof]
    found, ended = found_words(sheet, audience), outcome_words(sheet)
    for texts in (sheet.complaint, found, proof, ended, minding, sheet.advice, sheet.problems):
        total += of(True, texts)
    for work in sheet.remedies:
        total += 2.5 + of(True, work.steps[:PRINTED_STEPS]) + of(False, work.parts[:1])
    total += 1.7 + 1.25 * sum(r.chance >= 0.005 for r in sheet.ranking)
    return total + (PICTURE_LINES if sheet.chart.dots or len(sheet.course) > 1 else 0)


def _log(log: Sequence[LogLine], lines_left: float) -> list[str]:
    """All entries on the screen; on paper those that count most, as many as fit."""
    if not log:
        return []
    keep = printed(log, lines_left - 6)
    rows = [_row(line, line.number in keep) for line in log]
    head = "<tr><th>No.</th><th>Time (UTC)</th><th>Who</th><th>Kind</th><th>What</th><th>Weight</th></tr>"
    parts = ["<h2>Entries</h2>", f'<table class="log">{head}{"".join(rows)}</table>']
    if len(keep) < len(log):
        parts.append(f'<p class="paper">{len(log) - len(keep)} more entries are in the case file.</p>')
    return parts


def printed(log: Sequence[LogLine], lines: float) -> set[int]:
    """Numbers of the entries that go on paper: outcomes, remedies, readings and answers before notes and car data."""
    order = {"outcome": 0, "done": 1, "reading": 2, "answer": 3, "kept": 4, "not done": 5}
    keep: set[int] = set()
    for line in sorted(log, key=lambda line: (bool(line.state), order.get(line.kind, 6), -line.number)):
        tall = max(-(-min(len(line.text), CELL) // WHAT_LETTERS), -(-len(line.weight) // WEIGHT_LETTERS), 1)
        lines -= ROW_LINES * tall + 0.2
        if lines < 0:
            break
        keep.add(line.number)
    return keep


def _row(line: LogLine, on_paper: bool) -> str:
    classes = " ".join(c for c, on in (("gone", bool(line.state)), ("screen", not on_paper)) if on)
    state = f" [{line.state} by entry {line.by}]" if line.state else ""
    cells = (str(line.number), line.at.replace("T", " ")[:16], line.who, line.kind, line.text + state, line.weight)
    shown = "".join(f"<td>{_e(cell, CELL)}</td>" for cell in cells)
    return f'<tr class="{classes}">{shown}</tr>' if classes else f"<tr>{shown}</tr>"
