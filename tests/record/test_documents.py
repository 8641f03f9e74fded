"""The documents: safe, readable, and of one mind about every number."""

from __future__ import annotations

import csv
import html.parser
import io
import json
import re
from dataclasses import replace
from datetime import datetime
from importlib import resources
from xml.etree import ElementTree as ET

import jsonschema
import pypdf
import pytest

from assistant.facts import FactKind
from assistant.language.speak import cut_tenths
from assistant.record.build import build_record
from assistant.record.csv_text import COLUMNS, csv_text
from assistant.record.html import html_text
from assistant.record.invoice import invoice_text
from assistant.record.model import STATEMENT, JobRecord
from assistant.record.page import lay_out
from assistant.record.pdf import pdf_bytes
from assistant.record.pictures import draw_pictures
from assistant.record.pictures.canvas import AMBER, INK, LEAST_SIZE, PALETTE, Canvas, tidy_step
from assistant.record.plain import json_text
from assistant.record.schema import record_schema
from assistant.record.wording import amount, unbroken
from tests.record.sample_job import PROCEDURES, Bench, sample_job

HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(1)> {{ 7*7 }} #panic() \\u{202e}\u202e\x07 ]]>"


def same(when: datetime) -> datetime:
    """Times of day as they were recorded."""
    return when


class Page(html.parser.HTMLParser):
    """What a browser would see: tags, attributes, visible words."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.words = ""
        self.hidden = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep the tag and its attributes."""
        self.tags.append(tag)
        self.attributes += attrs
        self.hidden += tag == "style"

    def handle_endtag(self, tag: str) -> None:
        """Style is over."""
        self.hidden -= tag == "style"

    def handle_data(self, data: str) -> None:
        """Keep visible words."""
        if not self.hidden:
            self.words += f" {data}"


def pdf_words(record: JobRecord) -> str:
    """The words of the PDF as a library reads them back, blanks made one."""
    reader = pypdf.PdfReader(io.BytesIO(pdf_bytes(record, same)))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def hostile_job() -> JobRecord:
    """A job whose every word tries to be something else."""
    bench = Bench(job=f"=cmd|'/c calc'!A0 {HOSTILE}")
    bench.add(FactKind.JOB_STARTED, data={"title": HOSTILE, "version": 1})
    for name in ("plate", "vin", HOSTILE, "mileage"):
        bench.add(FactKind.VEHICLE_NOTED, data={"fact": name, "value": HOSTILE})
    bench.add(FactKind.STEP_ENTERED, "spark-check")
    bench.add(FactKind.WORDS_KEPT, "complaint", {"words": HOSTILE})
    bench.add(FactKind.NOTE_TAKEN, "spark-check", {"words": HOSTILE + " very" * 50_000}, after_s=5)
    for name in (HOSTILE, '=HYPERLINK("http://x")', "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\uff1d1"):
        bench.add(FactKind.RESULT_LOGGED, HOSTILE, {"result": name, "words": name})
        data = {"name": f"battery {name}", "quantity": "voltage", "value": -0.2, "unit": name, "band": name}
        bench.add(FactKind.READING_LOGGED, HOSTILE, data)
    bench.add(FactKind.CODE_LOGGED, "x", {"code": HOSTILE})
    bench.add(
        FactKind.FINDING_REACHED,
        HOSTILE,
        {"fault": HOSTILE, "say": HOSTILE, "proved": [HOSTILE], "odds": {HOSTILE: 0.5}},
    )
    return build_record(bench.entries(), PROCEDURES)


def test_the_json_report_keeps_its_schema(record: JobRecord) -> None:
    """Whole, open, bare and hostile jobs all keep the published schema."""
    jsonschema.Draft202012Validator.check_schema(record_schema())
    validator = jsonschema.Draft202012Validator(record_schema())
    bare = Bench()
    bare.add(FactKind.JOB_STARTED)
    for one in (
        record,
        build_record(sample_job(ended=False).entries(), {}),
        build_record(bare.entries(), {}),
        hostile_job(),
    ):
        validator.validate(json.loads(json_text(one)))


def test_the_published_schema_is_the_schema_of_the_types() -> None:
    """The file that others read says what the program writes."""
    published = resources.files("assistant.record").joinpath("record.schema.json").read_text(encoding="utf-8")
    assert json.loads(published) == record_schema()


def test_numbers_agree_in_every_document(record: JobRecord) -> None:
    """Each reading, burst and count stands alike in JSON, CSV, HTML and PDF."""
    told = json.loads(json_text(record))
    lines = list(csv.DictReader(io.StringIO(csv_text(record), newline="")))
    page = " ".join(Page(html_text(record, same)).words.split())
    paper = pdf_words(record)
    for reading in told["readings"]:
        (line,) = [one for one in lines if one["fact"] == reading["mark"]["fact"]]
        assert float(line["value"]) == reading["value"]
        assert line["unit"] == reading["unit"]
        assert float(line["limit_at_least"]) == reading["at_least"]["value"]
        shown = amount(reading["value"], reading["unit"])
        assert f"{reading['name']} {shown} {reading['verdict']}" in page
        assert f"{reading['name']} {shown} {reading['verdict']}" in paper
    for burst in told["bursts"]:
        (length,) = [one for one in lines if one["fact"] == burst["mark"]["fact"] and one["unit"] == "s"]
        assert float(length["value"]) == burst["seconds"]
        shown = f"{amount(round(burst['seconds'], 1), 's')} {amount(round(burst['rpm']), 'rpm')}"
        assert shown in page
        assert shown in paper
    spread = f"{cut_tenths(told['compression']['evenness']['share'] * 100)} % of the highest"
    total = f"In all {amount(told['duty']['total_s'], 's')}"
    for words in (spread, total, f"{told['minutes']:.1f} minutes", told["chain"]["hash"]):
        assert words in page
        assert words in paper.replace(" ", "") or words in paper
    kept = [one for name in ("complaint", "notes", "skipped") for one in told[name]]
    single = len(told["readings"]) + len(told["results"]) + len(told["codes"]) + len(kept)
    assert len(lines) == single + 2 * len(told["bursts"])


def test_the_statement_comes_first(record: JobRecord) -> None:
    """Maker's information, local rules and licensed practice stand before everything else, in each document."""
    first = " ".join(STATEMENT.split()[:6])
    body = Page(html_text(record, same)).words.split("Comes first.", 1)
    assert len(body) == 2
    assert body[1].strip().startswith(first)
    assert pdf_words(record).startswith(f"Comes first. {first}")
    assert list(json.loads(json_text(record)))[:2] == ["schema", "statement"]


def test_the_page_is_one_file_without_script(record: JobRecord) -> None:
    """The HTML loads nothing and runs nothing."""
    text = html_text(record, same)
    page = Page(text)
    assert not set(page.tags) & {"script", "link", "iframe", "object", "embed", "img", "form", "base"}
    assert not [name for name, value in page.attributes if name.startswith("on") or name in ("src", "href", "style")]
    assert "url(" not in text
    assert "@import" not in text


def test_the_page_can_be_read_by_ear(record: JobRecord) -> None:
    """Language, one main heading, ordered headings, column headings, and words for every picture."""
    text = html_text(record, same)
    page = Page(text)
    assert 'lang="en"' in text
    assert page.tags.count("h1") == 1
    assert page.tags.count("th") == text.count('scope="col"')
    assert page.tags.count("svg") == 5
    for picture in draw_pictures(record, "serif").values():
        root = ET.fromstring(picture.svg)
        assert root.get("role") == "img"
        assert root.get("aria-label") == picture.alt
        assert len(picture.alt) > 20


def test_each_table_scrolls_and_can_be_reached_by_key(record: JobRecord) -> None:
    """What is wider than a telephone, as tables of many columns are: named regions that take the focus and show it."""
    text = html_text(record, same)
    regions = re.findall(r'<div class="scroll" tabindex="0" role="region" aria-label="([^"]+)"><table ', text)
    assert len(regions) == text.count("<table ") == len(set(regions)) > 3
    assert ".scroll:focus-visible" in text and "table.many { min-width: 38rem; }" in text


def contrast(one: str, other: str) -> float:
    """Of two colours. Source: WCAG 2.1, success criterion 1.4.3 and its definition of relative luminance."""

    def luminance(hexadecimal: str) -> float:
        parts = [int(hexadecimal[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("colour", [*PALETTE, INK, AMBER, "#5b6875"])
def test_words_have_contrast(colour: str) -> None:
    """Every colour of words has a contrast of at least 4.5 to 1 on white and on the panels."""
    for ground in ("#ffffff", "#f2f4f7"):
        assert contrast(colour, ground) >= 4.5


def test_words_have_contrast_in_the_dark_too(record: JobRecord) -> None:
    """Where the reader's machine asks for dark pages; the pictures keep their white ground there."""
    dark = html_text(record, same).partition("(prefers-color-scheme: dark) {")[2].partition("\n}")[0]
    colours = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", dark))
    for words in ("ink", "faint", "blue", "amber"):
        for ground in ("paper", "panel"):
            assert contrast(colours[words], colours[ground]) >= 4.5, (words, ground)
    assert contrast(colours["ink"], colours["warn"]) >= 4.5
    assert "figure svg { background: #fff" in dark


def test_struck_values_are_marked_for_eye_and_ear(record: JobRecord) -> None:
    """A struck line says so in words, not only by a line through it."""
    row = re.search(r'<tr class="struck">.*?</tr>', html_text(record, same), re.DOTALL)
    assert row is not None
    assert "21.5 V" in row.group()
    assert "(struck)" in row.group()
    assert "(struck)" in pdf_words(record)


def test_hostile_words_are_only_words() -> None:
    """Markup, template signs and control characters in any word run nowhere and turn nothing around."""
    record = hostile_job()
    text = html_text(record, same)
    page = Page(text)
    assert not set(page.tags) & {"script", "img"}
    assert not [name for name, _ in page.attributes if name.startswith("on")]
    assert "alert(1)" in page.words
    assert "{{ 7*7 }}" in page.words
    assert "\u202e" not in text
    assert "\x07" not in text
    assert len(text) < 400_000
    assert "more characters in the JSON report" in page.words
    paper = pdf_words(record)
    assert "<script>alert(1)</script>" in paper
    assert "#panic()" in paper
    for picture in draw_pictures(record, "serif").values():
        assert not [element for element in ET.fromstring(picture.svg).iter() if element.tag.endswith("script")]


def test_no_cell_is_a_formula() -> None:
    """No cell of words begins with what a spreadsheet takes for a formula; negative numbers stay numbers."""
    rows = list(csv.DictReader(io.StringIO(csv_text(hostile_job()), newline="")))
    assert len(rows) >= 14
    for row in rows:
        for name, cell in row.items():
            if not re.fullmatch(r"-?\d+(\.\d+)?", cell):
                assert not cell.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d")), name
    assert "-0.2" in [row["value"] for row in rows]


def test_the_columns_of_the_csv_are_fixed(record: JobRecord) -> None:
    """The first line names the columns."""
    assert csv_text(record).split("\r\n")[0] == ",".join(COLUMNS)


def test_the_invoice_is_one_paragraph(record: JobRecord) -> None:
    """The text for the invoice is one line, without struck values, with finding and next step."""
    text = invoice_text(record, same)
    assert text.count("\n") == 1
    assert "12.5 V" in text
    assert "21.5 V" not in text
    assert "The part that tells the engine when to spark is not reporting." in text
    assert "Not yet refitted: engine cover." in text


def test_the_pdf_says_what_it_is(record: JobRecord) -> None:
    """The PDF has a title, a language and tags for readers by ear, and two pages."""
    reader = pypdf.PdfReader(io.BytesIO(pdf_bytes(record, same)))
    assert reader.metadata is not None
    assert reader.metadata.title == "grey-hatchback: Engine cranks but will not run"
    catalogue = reader.root_object
    assert catalogue["/Lang"] == "en"
    assert "/StructTreeRoot" in catalogue
    assert len(reader.pages) == 2


def test_a_job_with_nothing_has_documents() -> None:
    """A job that only began can be printed; pictures that have nothing to show are left out."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    bare = build_record(bench.entries(), {})
    assert draw_pictures(bare, "serif") == {}
    assert "No finding yet" in html_text(bare, same)
    assert pdf_bytes(bare, same).startswith(b"%PDF")


def test_a_job_without_a_finding_says_why_and_what_the_odds_leave() -> None:
    """Open or ended, it is told apart; the likeliest faults are named and called not proved."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED, None, {"procedure": "no-start"})
    odds = {"pump-dead": 0.61, "filter-blocked": 0.3, "bad-fuel": 0.04}
    bench.add(FactKind.RESULT_LOGGED, "spark-check", {"result": "spark", "words": "spark present", "odds": odds})
    page = html_text(build_record(bench.entries(), PROCEDURES), same)
    assert "No finding yet: the job is open." in page
    assert "By the odds most likely pump dead 61 %, filter blocked 30 %<" in page
    bench.add(FactKind.JOB_ENDED, None, {"finding": False})
    ended = build_record(bench.entries(), PROCEDURES)
    assert "No finding: the job was ended before one was reached." in html_text(ended, same)
    assert "The diagnosis was ended before a finding." in invoice_text(ended, same)


def test_the_invoice_puts_no_mark_twice(record: JobRecord) -> None:
    """Parts that are sentences by themselves are joined into one."""
    assert ".." not in invoice_text(record, same)
    assert ".," not in invoice_text(record, same)


def test_the_invoice_says_who_worked_and_warns_of_what_was_changed(record: JobRecord) -> None:
    """Technician and shop at its end, as far as they are known; what is damaged first, struck words not at all."""
    signed = replace(record, technician="Sam", shop="Bay Nine", damage=("fact 3 was changed", "fact 4 too"))
    text = invoice_text(signed, same)
    assert text.startswith("NOT AS RECORDED: do not bill by this. fact 3 was changed. ")
    assert "Done by Sam, Bay Nine. The vehicle maker's" in text and "fact 4" not in text
    assert "Done by Bay Nine." in invoice_text(replace(record, shop="Bay Nine"), same)
    assert "Done by" not in invoice_text(record, same)
    assert record.complaint[-1].words in invoice_text(record, same)
    struck = tuple(replace(one, mark=replace(one.mark, struck_by="x")) for one in record.complaint)
    without = invoice_text(replace(record, complaint=struck, results=(), readings=()), same)
    assert "Complaint" not in without and "Checks answered" not in without and "Measured" not in without


def test_the_invoice_names_what_is_not_known(record: JobRecord) -> None:
    """No advice, nothing untested: no empty sentences; a finding without words for customers is told by its title."""
    assert record.finding is not None
    bare = replace(record, finding=replace(record.finding, next_step="", untested=(), customer="", failed=("coil",)))
    text = invoice_text(bare, same)
    assert "Repair without cure: coil." in text and f"Finding: {record.finding.title}" in text
    assert "Next:" not in text and "Not tested" not in text
    assert "Next:" in invoice_text(record, same) and "Not tested: fuel pressure." in invoice_text(record, same)


@pytest.mark.parametrize(
    ("kind", "caught", "said"),
    [
        ("chatter", None, "only chattered"), ("whine", False, "spun easily, may not have turned the engine"),
        (None, True, "caught, ran 2.5 s"), (None, False, "did not catch"),
    ],
)  # fmt: skip
def test_how_a_burst_sounded_is_said_in_words(
    record: JobRecord, kind: str | None, caught: bool | None, said: str
) -> None:
    """What turned no engine says so in place of whether it caught."""
    one = replace(record.bursts[0], kind=kind, caught=caught, run_s=2.5)
    rows = next(table for table in lay_out(replace(record, bursts=(one,)), same).tables if table.name == "bursts")
    assert said in [str(cell).replace("\u00a0", " ") for cell in rows.rows[0].cells]


def test_what_no_ear_told_of_a_burst_has_no_column(record: JobRecord) -> None:
    """Neither a speed nor what the engine did; what stays keeps its side, and one burst that was heard brings them."""
    heard = replace(record.bursts[0], kind=None, caught=True, rpm=182.0, rest_before_s=None)
    unheard = replace(heard, caught=None, rpm=None, rest_before_s=130.0)
    for bursts, columns, numbers in (
        ((unheard, unheard), ("At", "Length", "Rest before", "Timed by"), (0, 1, 2)),
        ((heard, unheard), ("At", "Length", "Speed", "Engine", "Rest before", "Timed by"), (0, 1, 2, 4)),
    ):
        tables = lay_out(replace(record, bursts=bursts), same).tables
        table = next(one for one in tables if one.name == "bursts")
        assert (table.columns, table.numbers) == (columns, numbers)
        assert all(len(one.cells) == len(columns) for one in table.rows)


def test_a_number_is_held_on_one_line_with_its_unit() -> None:
    """Of a judgement, whose column is narrow; what is no unit may stand on the next line."""
    assert unbroken("good (at least 11 V), 2.5 kPa") == "good (at least 11\u00a0V), 2.5\u00a0kPa"
    assert unbroken("75 % of 160 psi, 20 °C, 3 cylinders") == "75\u00a0% of 160\u00a0psi, 20\u00a0°C, 3 cylinders"


def test_words_too_small_to_print_are_refused() -> None:
    """No picture can have them by mistake."""
    with pytest.raises(ValueError, match="cannot be read on paper"):
        Canvas(height=10.0, alt="x", family="serif").words(0.0, 0.0, "x", size=LEAST_SIZE - 1)


@pytest.mark.parametrize(
    ("rough", "tidy"), [(0.0, 1.0), (-1.0, 1.0), (0.03, 0.05), (1.0, 1.0), (1.5, 2.0), (4.0, 5.0), (60.0, 100.0)]
)
def test_scales_step_by_tidy_numbers(rough: float, tidy: float) -> None:
    """One, two or five of a power of ten, however flat the scale."""
    assert tidy_step(rough) == pytest.approx(tidy)
