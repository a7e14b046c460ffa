"""The layouts: nothing gets through, everything is there, and the right reader gets the right copy."""

from __future__ import annotations

import json
import re
from dataclasses import fields, replace
from html.parser import HTMLParser
from xml.etree import ElementTree

import jsonschema
import pytest

from diag.presentation.pictures import course_picture, pressure_picture, ticks
from diag.presentation.report.build import sheet_of
from diag.presentation.report.html import html_report, paper_lines, printed
from diag.presentation.report.json_report import SCHEMA, json_report, plain_report
from diag.presentation.report.markdown import escape, markdown_report
from diag.presentation.report.sheet import Chart, CourseStep, Dot, Sheet
from diag.presentation.report.suspect_part import suspect_part_form
from diag.presentation.report.text import closing_summary, hand_over_note, text_report
from diag.quantities import to_unit
from diag.support.text import unfit
from tests.presentation.report.jobs import HOSTILE, PSI, hostile_sheet, job, job_sheet, job_standing, the_book

WRITERS = {
    "text, customer": lambda s: text_report(s, "customer"),
    "text, workshop": lambda s: text_report(s, "workshop"),
    "markdown, customer": lambda s: markdown_report(s, "customer"),
    "markdown, workshop": lambda s: markdown_report(s, "workshop"),
    "html, customer": lambda s: html_report(s, "customer"),
    "html, workshop": lambda s: html_report(s, "workshop"),
    "json": json_report,
    "closing": closing_summary,
    "hand-over": hand_over_note,
    "part": suspect_part_form,
}


@pytest.mark.parametrize("name", WRITERS)
def test_no_control_character_reaches_a_reader(name: str) -> None:
    """Escapes, bidirectional controls and nulls typed anywhere come out as replacement characters."""
    text = WRITERS[name](hostile_sheet())
    assert unfit(text) is None
    assert len(text) > 300


@pytest.mark.parametrize("name", WRITERS)
def test_the_same_job_always_gives_the_same_page(name: str) -> None:
    """No clock and no randomness in a report."""
    assert WRITERS[name](job_sheet()) == WRITERS[name](job_sheet())


class _Tags(HTMLParser):
    """Collects what a browser would see."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    def handle_comment(self, data: str) -> None:
        raise AssertionError(f"a comment got through: {data!r}")


ALLOWED = {
    "html", "head", "meta", "title", "style", "body", "h1", "h2", "p", "b", "ul", "ol", "li", "table", "tr", "th", "td",
    "div", "span", "svg", "desc", "path", "text", "circle",
}  # fmt: skip


@pytest.mark.parametrize("audience", ["customer", "workshop"])
def test_the_page_is_made_of_our_tags_only(audience: str) -> None:
    """Hostile text adds no tag, no script, no event handler, no address; nothing is fetched."""
    page = html_report(hostile_sheet(), audience)  # type: ignore[arg-type]
    parser = _Tags()
    parser.feed(page)
    assert {tag for tag, _ in parser.tags} <= ALLOWED
    for _, attributes in parser.tags:
        assert not {name for name in attributes if name.startswith("on") or name in ("src", "href", "xlink:href")}
        assert "url(" not in (attributes.get("style") or "")
    assert "<script>alert(1)</script>" in "".join(parser.words)  # shown as the text it is
    assert page.count("</title>") == page.count("<title>")
    assert "default-src 'none'" in page
    if audience == "workshop":
        assert page.count("<svg") == 3


def test_markdown_words_stay_words() -> None:
    """Every character that Markdown (CommonMark 0.31, section 2.4, and tables) reads as markup is escaped."""
    text = escape(HOSTILE)
    assert "\n" not in text
    assert "<" not in text.replace("&lt;", "")
    for mark in "`*_[]#|~":
        assert not re.search(rf"(?<!\\){re.escape(mark)}", text), mark
    assert escape("1. one") == "1\\. one"
    assert escape("- one") == "\\- one"
    assert escape("2026-11-25, 3.5 bar") == "2026-11-25, 3.5 bar"
    page = markdown_report(hostile_sheet(), "workshop")
    rows = [line for line in page.split("\n") if line.startswith("| ") and re.match(r"\| \d+ \|", line)]
    assert len(rows) == len(hostile_sheet().log)
    for row in rows:
        assert len(re.findall(r"(?<!\\)\|", row)) == 7, row


def test_the_customers_copy_has_no_workings() -> None:
    """No log, no ranking table, no weights; what was found, how it was put right and the cautions are there."""
    for page in (text_report(job_sheet(), "customer"), html_report(job_sheet(), "customer")):
        assert "Weight" not in page
        assert "Rule book" not in page
        assert "the leading cause" not in page
        assert "<svg" not in page
        assert "STOP" in page
        assert job_sheet().ranking[0].title.split("'")[0] in page
        assert "Pressure will not come down" in page


def test_the_workshops_copy_has_everything() -> None:
    """Each entry, the ranking in figures, the steps of the remedy."""
    page = text_report(job_sheet(), "workshop")
    for line in job_sheet().log:
        assert f"- {line.number}. 2026-11-25 13:00 {line.who}" in page
    assert "Ranking" in page
    sheet = job_sheet()
    if sheet.remedies:
        assert sheet.remedies[0].steps[0].split()[0] in page


def test_text_lines_fit_a_narrow_screen() -> None:
    """Lines of a message are at most 76 characters, long words apart."""
    for line in text_report(job_sheet(), "workshop").split("\n"):
        assert len(line) <= 76


def test_the_json_keeps_to_its_documented_fields() -> None:
    """The schema names every field of the sheet, and both jobs obey it (JSON Schema 2020-12, checked by jsonschema)."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert set(SCHEMA["properties"]) == {"schema"} | {f.name for f in fields(Sheet)}
    for sheet in (job_sheet(), hostile_sheet()):
        plain = json.loads(json_report(sheet))
        jsonschema.validate(plain, SCHEMA)
        assert plain == json.loads(json.dumps(plain_report(sheet)))
        _no_more_than(plain, SCHEMA)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(plain | {"ranking": [{"id": "x"}]}, SCHEMA)


def _no_more_than(plain: object, schema: dict) -> None:  # type: ignore[type-arg]
    """Every field written is documented, all the way down."""
    if isinstance(plain, dict) and "properties" in schema:
        assert set(plain) == set(schema["properties"])
        for key, part in plain.items():
            _no_more_than(part, schema["properties"][key])
    elif isinstance(plain, list):
        for part in plain:
            _no_more_than(part, schema["items"])


def test_the_pictures_are_well_formed_and_drawn_to_scale() -> None:
    """Parsed as XML; the readings lie where their numbers put them, the wanted line passes through base at zero."""
    low = Dot(6, "b<b>", -8 * PSI, 32 * PSI, 30 * PSI, 33 * PSI, "above", True)
    chart = Chart((Dot(5, "a", 0.0, 40 * PSI, 40 * PSI, 40 * PSI), low), 40 * PSI, "psi")
    root = ElementTree.fromstring(pressure_picture(chart))
    ns = "{http://www.w3.org/2000/svg}"
    spots = [(float(c.attrib["cx"]), float(c.attrib["cy"])) for c in root.iter(f"{ns}circle")]
    assert len(spots) == 2
    line = next(p.attrib["d"] for p in root.iter(f"{ns}path") if p.attrib.get("stroke-dasharray") == "6 4")
    x1, y1, x2, y2 = (float(n) for n in re.findall(r"[-\d.]+", line))
    for x, y in spots:  # both readings were made to lie on the line
        assert y == pytest.approx(y1 + (x - x1) * (y2 - y1) / (x2 - x1), abs=0.3)
    assert pressure_picture(Chart()) == ""
    assert to_unit(40 * PSI, "pressure", "psi") == pytest.approx(40, abs=1e-4)


def test_readings_stand_on_the_span_of_sound_cars() -> None:
    """The shaded span follows the base with the hose off and lies lower where there is vacuum; only with workings."""
    chart = job_sheet().chart
    assert chart.target is not None
    by_manifold = sorted(chart.band)
    assert all(low < high for _, low, high in by_manifold)
    deepest, open_air = by_manifold[0], next(row for row in by_manifold if row[0] == pytest.approx(0.0, abs=1.0))
    assert open_air[1] < chart.target < open_air[2]
    fall = 0.5 * (open_air[1] + open_air[2] - deepest[1] - deepest[2])
    assert 0.0 < fall <= 1.1 * (open_air[0] - deepest[0])
    picture = pressure_picture(chart)
    shaded = ElementTree.fromstring(picture).findall("{http://www.w3.org/2000/svg}path[@fill='#ddd']")
    assert len(shaded) == 1
    corners = re.findall(r"[-\d.]+ [-\d.]+", shaded[0].attrib["d"])
    assert len(corners) == 2 * len(chart.band)
    assert "nine sound cars in ten" in picture
    assert "#ddd" not in pressure_picture(replace(chart, band=()))
    assert sheet_of(job(), the_book(), job_standing(), workings=False).chart.band == ()


def test_the_course_is_drawn_for_the_causes_that_mattered() -> None:
    """One dashed line per cause that stood out, each with its name beside it."""
    titles = {"a": "A<", "b": "B", "c": "C"}
    course = [CourseStep(n, str(n), {"a": 0.1 * n, "b": 0.9 - 0.1 * n, "c": 0.01}, titles) for n in range(1, 6)]
    root = ElementTree.fromstring(course_picture(course))
    words = [t.text for t in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "A<" in words
    assert "B" in words
    assert "C" not in words
    assert course_picture(course[:1]) == ""


@pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (-9.0, 3.2), (0.0001, 0.0002), (3.0, 3.0), (1e6, 9e6)])
def test_ticks_are_round_and_cover(low: float, high: float) -> None:
    """The first tick is at or below the lowest value, the last at or above the highest, and there are few."""
    found = ticks(low, high)
    assert found[0] <= low
    assert found[-1] >= high
    assert 1 <= len(found) <= 12


def _long(sheet: Sheet) -> Sheet:
    """A job with 120 long entries and two remedies."""
    line = replace(sheet.log[4], text="Rail pressure, pump on, engine off: 58.4 psi, and a long remark to it. " * 4)
    return replace(sheet, log=tuple(replace(line, number=n) for n in range(1, 121)), remedies=sheet.remedies * 2)


@pytest.mark.parametrize("audience", ["customer", "workshop"])
def test_a_printed_report_takes_two_pages(audience: str) -> None:
    """Measured with a renderer for print where one is installed (WeasyPrint 70.0 here: 1 and 2 pages)."""
    weasyprint = pytest.importorskip("weasyprint")
    for sheet in (job_sheet(), _long(job_sheet())):
        assert len(weasyprint.HTML(string=html_report(sheet, audience)).render().pages) <= 2  # type: ignore[arg-type]


def test_on_paper_the_telling_entries_come_first() -> None:
    """A long job prints what fits; answers and readings before notes; nothing is dropped from the screen."""
    sheet = _long(job_sheet())
    page = html_report(sheet, "workshop")
    shown = page.count("<tr><td>") - page.count("<tr><td>over") - page.count("<tr><td>under")
    assert page.count('<tr class="screen">') > 60
    assert "more entries are in the case file" in page
    assert shown < 60
    notes = [replace(line, kind="note") if line.number % 2 else line for line in sheet.log]
    assert all(number % 2 == 0 for number in printed(notes, 60))
    assert paper_lines(sheet, "workshop") > paper_lines(job_sheet(), "customer") - 1


def test_the_part_form_keeps_facts_and_judgement_apart() -> None:
    """What was told and seen stands in sections 1 to 6; no cause is named before section 7."""
    form = suspect_part_form(job_sheet())
    facts, judgement = form.split("## 7.")
    for fact in (
        "cap-1.jpg",
        "stamped 'L2'",
        "at a swap meet, no box",
        "flat piece of rubber in the outlet",
        "58.4 psi",
    ):
        assert fact in facts
    title = escape(job_sheet().ranking[0].title)
    assert title not in facts
    assert title in judgement
    assert "not proven" in judgement
    empty = suspect_part_form(replace(job_sheet(), part=type(job_sheet().part)()))
    assert empty.count("(nothing was recorded)") == 4


def test_an_outcome_marked_proven_without_its_checks_says_so() -> None:
    """The report does not repeat a claim that the entries do not bear out."""
    sheet = job_sheet()
    assert sheet.proof
    marked = replace(sheet, outcome="cured", proven=True)
    assert f"{len(sheet.proof)} of {len(sheet.proof)} checks of the proof are not on record" in " ".join(
        text_report(marked, "customer").split()
    )
    done = replace(marked, proof=tuple(replace(work, done=True) for work in sheet.proof))
    assert "not on record" not in text_report(done, "customer")


def test_the_customer_is_told_what_to_do_when_fuel_is_smelt() -> None:
    """Cautions of work that is done concern the workshop; the smell of fuel concerns everybody."""
    done = replace(job_sheet(), remedies=tuple(replace(work, done=True) for work in job_sheet().remedies))
    page = text_report(done, "customer")
    assert "If you smell fuel" in page
    assert "Spring under load" not in page
    assert "If you smell fuel" in html_report(done, "customer")


def test_the_closing_summary_is_read_back_with_what_is_still_open() -> None:
    """Complaint, cause, what is not yet checked, the stop, and the last question."""
    text = closing_summary(job_sheet())
    assert "You called about this: pressure will not come down." in text
    assert "Please do not forget" in text
    assert text.rstrip().endswith("Is there anything I have not asked?")
    cured = replace(job_sheet(), outcome="cured", outcome_causes=job_sheet().ranking[:1], proven=False)
    for claimed in (False, True):  # a claim without its checks does not count
        assert "has not been proven in full yet" in " ".join(closing_summary(replace(cured, proven=claimed)).split())
    checked = replace(cured, proven=True, proof=tuple(replace(work, done=True) for work in cured.proof))
    assert "the checks afterwards proved it" in " ".join(closing_summary(checked).split())


def test_the_hand_over_note_says_how_the_car_stands() -> None:
    """Fuel outside, pressure and what is fitted come before any diagnosis."""
    note = hand_over_note(job_sheet())
    assert note.index("How the car stands") < note.index("What is likely")
    assert "Fuel outside the system: unknown" in note
    assert "look for fuel yourself" in note
