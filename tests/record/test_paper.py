"""An ordinary job fits on two sheets: as PDF, and as the HTML page that a browser prints."""

from __future__ import annotations

import io
import os
import shutil
import subprocess
from datetime import datetime
from pathlib import Path

import pypdf
import pytest

from assistant.reasoning.reasoner import make_reasoner
from assistant.record.build import build_record, procedures_used
from assistant.record.html import html_text
from assistant.record.model import JobRecord
from assistant.record.pdf import pdf_bytes
from assistant.session.adviser import Adviser
from assistant.wiring import load_model, procedures_at_hand, shipped_procedures
from tests.session.dialogue_player import FOLDER, play

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")


def same(when: datetime) -> datetime:
    """Times of day as they were recorded."""
    return when


@pytest.fixture(scope="module", params=["no-spark-sensor", "spray-and-vapour"])
def whole(request: pytest.FixtureRequest) -> JobRecord:
    """A whole job of some sixty steps, and a long one of ninety, with odds, bursts and readings."""
    library = procedures_at_hand(shipped_procedures())
    adviser = Adviser(make_reasoner(load_model("no-start")), library)
    room, _ = play(library, FOLDER / f"{request.param}.yaml", adviser)
    entries = room.journal.entries("grey-hatchback")
    return build_record(entries, {name: library[name] for name in procedures_used(entries)})


def test_the_pdf_has_two_pages(whole: JobRecord) -> None:
    """A4, both of them used."""
    assert len(whole.steps) > 50
    pages = pypdf.PdfReader(io.BytesIO(pdf_bytes(whole, same))).pages
    assert len(pages) == 2
    assert [round(float(page.mediabox.width) / 72 * 25.4) for page in pages] == [210, 210]


@pytest.mark.skipif(
    CHROMIUM is None and not os.environ.get("CI"),
    reason="no Chromium to print with; on Debian: apt-get install chromium",
)
def test_the_html_prints_on_two_pages(whole: JobRecord, tmp_path: Path) -> None:
    """A browser's own print of the page, without its head and foot lines; the last words are on it."""
    page, printed = tmp_path / "report.html", tmp_path / "report.pdf"
    page.write_text(html_text(whole, same), encoding="utf-8")
    options = ("--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking")
    subprocess.run(
        [str(CHROMIUM), *options, "--no-pdf-header-footer", f"--print-to-pdf={printed}", page.as_uri()],
        check=True,
        capture_output=True,
        timeout=120,
        env={"HOME": str(tmp_path), "PATH": "/usr/bin:/bin"},
    )
    pages = pypdf.PdfReader(printed).pages
    assert len(pages) == 2
    assert "compares the stored record" in " ".join(pages[-1].extract_text().split())
