"""Reports on paper: ten invented jobs as pictures, their pages counted, nothing small, nothing out of order."""

from __future__ import annotations

import io
import os
import re
import shutil
import subprocess
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pypdf
import pytest

from assistant.record.html import html_text
from assistant.record.page import Paper, Row, Table
from assistant.record.page.columns import two_abreast
from assistant.record.pdf import pages_as_pictures, pdf_bytes, shown_on_paper
from assistant.record.pictures import draw_pictures
from assistant.record.pictures.canvas import LEAST_SIZE, WIDTH
from tests.record.paper_jobs import CJK, JOBS, LONG_WORD, record_of

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
LEAST_PT = 8.0
MOST_PAGES = {"ordinary": 2, "long-with-spray": 3, "ended-early": 2, "diesel": 2, "eight-cylinders": 2}
MOST_PAGES |= {"two-faults": 2, "odd-words": 3, "very-long": 8, "repaired": 2, "came-back": 2}


def same(when: datetime) -> datetime:
    """Times of day as they were recorded."""
    return when


def words_of(paper: bytes) -> str:
    """The words of a PDF, blanks made one."""
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(paper)).pages).split())


@pytest.mark.parametrize("name", sorted(JOBS))
def test_the_pdf_has_few_pages_and_each_is_a_picture(name: str, tmp_path: Path) -> None:
    """Two pages for an ordinary job; the pictures of all pages lie in the test's folder, to be looked at."""
    pages = pages_as_pictures(record_of(name), same)
    for number, picture in enumerate(pages, start=1):
        assert picture.startswith(b"\x89PNG")
        (tmp_path / f"{name}-{number}.png").write_bytes(picture)
    assert len(pages) <= MOST_PAGES[name]
    assert len(pypdf.PdfReader(io.BytesIO(pdf_bytes(record_of(name), same))).pages) == len(pages)


@pytest.mark.parametrize(("paper", "size"), [(Paper.A4, (210, 297)), (Paper.LETTER, (216, 279))])
def test_the_paper_is_the_one_that_was_asked_for(paper: Paper, size: tuple[int, int]) -> None:
    """A4 or letter, an ordinary job on two pages of either; the page for a browser asks for the same."""
    pages = pypdf.PdfReader(io.BytesIO(pdf_bytes(record_of("ordinary"), same, paper))).pages
    assert len(pages) == 2
    for page in pages:
        millimetres = (float(page.mediabox.width) / 72 * 25.4, float(page.mediabox.height) / 72 * 25.4)
        assert tuple(round(one) for one in millimetres) == size
    asked = "letter" if paper is Paper.LETTER else "A4"
    assert f"@page {{ size: {asked};" in html_text(record_of("ordinary"), same, paper)


@pytest.mark.parametrize("name", ["ordinary", "very-long", "odd-words"])
def test_nothing_on_paper_is_smaller_than_eight_points(name: str) -> None:
    """Neither in the PDF's own words, nor in its pictures, which stand two abreast, nor in what a browser prints."""
    small: list[tuple[float, str]] = []

    def look(text: str, cm: list[float], tm: list[float], _: object, size: float) -> None:
        shown = size * abs(tm[3] or tm[1]) * abs(cm[3] or cm[1])
        if text.strip() and shown < LEAST_PT - 0.01:
            small.append((shown, text))

    for page in pypdf.PdfReader(io.BytesIO(pdf_bytes(record_of(name), same))).pages:
        page.extract_text(visitor_text=look)
    assert small == []
    column_pt = ((210 - 2 * 13) / 25.4 * 72 - 12) / 2
    assert LEAST_SIZE * column_pt / WIDTH >= LEAST_PT
    for picture in draw_pictures(record_of(name), "serif").values():
        sizes = re.findall(r'font-size="([\d.]+)"', picture.svg)
        assert sizes and min(float(size) for size in sizes) >= LEAST_SIZE
    printed = html_text(record_of(name), same).partition("@media print {")[2]
    assert min(float(size) for size in re.findall(r"font-size: ([\d.]+)pt", printed)) >= LEAST_PT


def test_a_very_long_job_shows_every_burst_reading_and_note_in_order() -> None:
    """Sixty-six bursts in tables and pictures, by their times from first to last."""
    record = record_of("very-long")
    words = words_of(pdf_bytes(record, same))
    pictures = draw_pictures(record, "serif")
    drawn = "".join(one.alt for name, one in pictures.items() if name.startswith("bursts"))
    assert len(record.bursts) == 66
    assert re.findall(r"burst (\d+) ", drawn) == [str(number) for number in range(1, 67)]
    order = [f"wiggled the plug, turn {turn}, no change" for turn in range(0, 60, 3)]
    found = [words.index(each) for each in order]
    assert found == sorted(found)
    rows = re.findall(r"((?:\d+:)?\d+:\d\d) [\d.]+ s \d+ rpm (?:did not catch|caught)", words)
    assert len(rows) == 66
    seconds = [sum(int(part) * 60**place for place, part in enumerate(reversed(at.split(":")))) for at in rows]
    assert seconds == sorted(seconds)


def test_narrow_tables_fill_two_columns_evenly_and_in_order() -> None:
    """Read down the left column and then the right one every row stands once; a short table is never parted."""
    rows = tuple(Row(cells=(str(at), "a question that was asked " * (1 + at % 3))) for at in range(150))
    tables = [
        Table(name="results", title="Results", columns=("At", "Asked"), rows=rows, note="A note."),
        Table(name="codes", title="Codes", columns=("At", "Code"), rows=rows[:9]),
        Table(name="steps", title="Steps", columns=("At", "Step"), rows=rows[:4]),
    ]
    strips = two_abreast(tables)
    laid = [one for strip in strips for side in strip for one in side]
    assert [row for one in laid for row in one.rows] == [row for table in tables for row in table.rows]
    assert [one.title for one in laid if one.name != "results"] == ["Codes", "Steps"]
    assert [one.note for one in laid if one.name == "results"][-1] == "A note."
    assert {one.title for one in laid if one.name == "results"} == {"Results", "Results, continued"}
    left, right = (sum(len(one.rows) for one in side) for side in strips[0])
    assert abs(left - right) <= 3
    assert two_abreast([]) == []


def test_what_the_fonts_lack_is_told_in_a_plain_sign() -> None:
    """An emoji by its name, other scripts by how many signs there were; what can be drawn stays as it is."""
    assert shown_on_paper("hot \N{FIRE}\ufe0f!") == "hot [fire]!"
    assert shown_on_paper(f"{CJK} \u00e9\u03a9\u2192") == "[6 signs of another script] \u00e9\u03a9\u2192"
    words = words_of(pdf_bytes(record_of("odd-words"), same))
    assert "smells hot [automobile][fire]" in words
    assert "the owner says [6 signs of another script]" in words


def test_a_word_without_an_end_stays_on_the_page() -> None:
    """It is broken: whole in the document, and no line of it longer than the column of notes."""
    pages = pypdf.PdfReader(io.BytesIO(pdf_bytes(record_of("odd-words"), same))).pages
    words = [word for page in pages for word in page.extract_text().split() if "behindtheintake" in word]
    assert len(words) > 3 and max(len(word) for word in words) < 110
    assert LONG_WORD in "".join("".join(page.extract_text() for page in pages).replace("\u200b", "").split())


def test_the_top_says_who_where_and_on_which_car() -> None:
    """Shop, technician, make, model and year stand in every document, with a line to sign on."""
    record = record_of("eight-cylinders")
    assert (record.technician, record.shop) == ("Sam Invented", "Bay Nine, an invented shop")
    assert (record.vehicle.make, record.vehicle.model, record.vehicle.year) == ("Invented", "Longnose", "2009")
    for words in (words_of(pdf_bytes(record, same)), html_text(record, same)):
        for told in ("Bay Nine, an invented shop", "technician Sam Invented", "Longnose", "2009", "Signature", "Date"):
            assert told in words


def test_eight_columns_have_room_for_their_digits() -> None:
    """Each value is drawn once, whole, and no wider than its column: on its side where it must be."""
    svg = draw_pictures(record_of("eight-cylinders"), "serif")["compression"].svg
    for value in ("152", "149", "60", "155", "151", "148", "153", "62"):
        assert svg.count(f">{value}<") == 1
    assert svg.count("rotate(-90") == 6


def test_odds_of_two_faults_are_explained() -> None:
    """Where they come to more than a whole it is said why, beside the other fault's odds, in words and picture."""
    record = record_of("two-faults")
    words = words_of(pdf_bytes(record, same))
    assert "Beside it a flat or worn-out battery 86 %" in words
    assert "a car can have two at once" in words
    assert "a car can have two" in draw_pictures(record, "serif")["odds"].title
    assert "a car can have two" not in draw_pictures(record_of("ordinary"), "serif")["odds"].title


def test_no_step_is_called_by_its_id() -> None:
    """Steps are told by what they measure or ask, faults by their names."""
    record = record_of("ordinary")
    words = words_of(pdf_bytes(record, same))
    assert "What does the tester show?" in words and "a faulty crank sensor" in words
    for label in ("first crank:", "fuel level:", "second crank:", "was proved:"):
        assert label not in words


@pytest.fixture
def printed(tmp_path: Path) -> Callable[[str, Paper], list[str]]:
    """The words of each page as a browser prints it."""

    def pages_of(name: str, paper: Paper) -> list[str]:
        page, made = tmp_path / "report.html", tmp_path / "report.pdf"
        page.write_text(html_text(record_of(name), same, paper), encoding="utf-8")
        options = ("--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking")
        subprocess.run(
            [str(CHROMIUM), *options, "--no-pdf-header-footer", f"--print-to-pdf={made}", page.as_uri()],
            check=True,
            capture_output=True,
            timeout=120,
            env={"HOME": str(tmp_path), "PATH": "/usr/bin:/bin"},
        )
        return [" ".join(one.extract_text().split()) for one in pypdf.PdfReader(made).pages]

    return pages_of


@pytest.mark.skipif(
    CHROMIUM is None and not os.environ.get("CI"),
    reason="no Chromium to print with; on Debian: apt-get install chromium",
)
@pytest.mark.parametrize(
    ("name", "paper"),
    [("ordinary", Paper.A4), ("ordinary", Paper.LETTER), ("eight-cylinders", Paper.A4), ("two-faults", Paper.A4)],
)
def test_the_html_prints_on_two_pages(name: str, paper: Paper, printed: Callable[[str, Paper], list[str]]) -> None:
    """A browser's own print of the page, without its head and foot lines; the last words are on it."""
    pages = printed(name, paper)
    assert len(pages) <= 2
    assert "compares the stored record" in pages[-1]
    assert "Signature" in pages[-1]
