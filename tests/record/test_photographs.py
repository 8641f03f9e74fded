"""Photographs in the record: nothing but what draws them, bound to their names, shown, and forgotten with the words."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from datetime import datetime
from functools import cache

import pypdf
import pytest
from PIL import Image

from assistant.facts import FactKind
from assistant.record.build import build_record
from assistant.record.chain import Entry, faults, to_remove
from assistant.record.html import html_text
from assistant.record.page.photographs import MOST_ON_PAPER, NOT_HERE, TOO_LARGE, image_of, printed, without_images
from assistant.record.pdf import pdf_bytes
from assistant.record.personal import Belonging, without_values
from assistant.record.photographs import MOST_BYTES, cleaned, picture_fits, picture_name, pictures_of, size_of
from tests.record.sample_job import PROCEDURES, Bench

SECRET = b"taken at a made-up place"


def same(when: datetime) -> datetime:
    """Times of day as they were recorded."""
    return when


@cache
def drawn(kind: str = "JPEG", size: tuple[int, int] = (64, 48), **more: object) -> bytes:
    """A picture of a made-up bay."""
    image = Image.linear_gradient("L").resize(size).convert("RGB")
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def told(kind: str) -> bytes:
    """The same with what a camera writes beside it."""
    out, image = io.BytesIO(), Image.open(io.BytesIO(drawn(kind)))
    if kind == "JPEG":
        exif = Image.Exif()
        exif[0x010E] = SECRET.decode()
        image.save(out, kind, exif=exif, comment=SECRET)
    else:
        from PIL.PngImagePlugin import PngInfo  # noqa: PLC0415 - of one kind alone

        info = PngInfo()
        info.add_text("Comment", SECRET.decode())
        image.save(out, kind, pnginfo=info)
    return out.getvalue()


def pixels(picture: bytes) -> bytes:
    """What it shows."""
    return Image.open(io.BytesIO(picture)).convert("RGB").tobytes()


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_what_a_camera_wrote_beside_the_picture_is_gone(kind: str) -> None:
    """Place, remark and device; the picture itself is the same to the last pixel, and clean ones stay as they are."""
    given = told(kind)
    kept = cleaned(given)
    assert SECRET in given and kept is not None
    assert SECRET not in kept and b"Exif" not in kept
    assert pixels(kept) == pixels(given)
    assert cleaned(kept) == kept


def test_pictures_in_several_scans_are_kept() -> None:
    """As some encoders write them."""
    given = drawn("JPEG", (200, 150), progressive=True)
    kept = cleaned(given)
    assert kept is not None and pixels(kept) == pixels(given)


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_what_is_no_whole_picture_is_refused(kind: str) -> None:
    """Cut anywhere, or with anything in place of its beginning; what follows its end is cut off."""
    whole = drawn(kind)
    for end in (0, 1, 2, 3, 9, 40, len(whole) // 2, len(whole) - 3):
        assert cleaned(whole[:end]) is None, end
    assert cleaned(b"GIF89a" + whole) is None
    assert cleaned(b"<svg onload='alert(1)'/>") is None
    assert cleaned(whole + b"<script>") == cleaned(whole)
    assert cleaned(b"\xff\xd8" + b"\xff" * 50_000) is None
    assert cleaned(b"\xff\xd8" + b"\xff\xe0\x00\x02" * 50_000) is None


def test_too_large_pictures_are_refused() -> None:
    """In bytes, and in pixels each way, which a small file can claim."""
    assert cleaned(drawn() + b"\x00" * MOST_BYTES) is None
    assert cleaned(drawn("PNG", (5_000, 8))) is None
    assert cleaned(drawn("JPEG", (8, 5_000))) is None


def job(picture: bytes) -> tuple[Entry, ...]:
    """A job in which one picture was taken."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED, None, {"procedure": "no-start"})
    bench.add(FactKind.PICTURE_TAKEN, "spark-check", {"picture": picture_name(2, picture)})
    return bench.entries()


def test_the_report_shows_the_picture_and_the_facts_bind_it() -> None:
    """With its step; without its bytes its place is still named; a changed one in a report is found."""
    picture = drawn()
    record = build_record(job(picture), PROCEDURES)
    name = picture_name(2, picture)
    page = html_text(record, same, photographs=lambda _job, _name: picture)
    assert "Picture 2: spark check" in page and page.count('<img class="photograph"') == 1
    assert html_text(record, same, photographs=lambda _job, _name: picture + b"x") == html_text(record, same)
    bare, wrong = without_images(page.encode())
    assert (bare.decode(), wrong) == (html_text(record, same), ())
    forged = page.replace("base64,/9j/", "base64,/9j/AAAA")
    assert without_images(forged.encode())[1] == (name,)
    assert picture_fits(name, picture) and not picture_fits(name, picture[:-1])


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_the_paper_shows_the_picture_with_step_and_time(kind: str) -> None:
    """As it was taken, a JPEG to the last byte, beside its words; what is not at hand or not its own is named."""
    picture = drawn(kind, (320, 240))
    record = build_record(job(picture), PROCEDURES)
    reader = pypdf.PdfReader(io.BytesIO(pdf_bytes(record, same, photographs=lambda _job, _name: picture)))
    (shown,) = [image for page in reader.pages for image in page.images]
    assert pixels(shown.data) == pixels(picture) and (kind == "PNG" or shown.data == picture)
    words = " ".join(page.extract_text() for page in reader.pages)
    assert "Picture 2: spark check, at 0:0" in words
    for given in (None, picture + b"x"):
        paper = pypdf.PdfReader(io.BytesIO(pdf_bytes(record, same, photographs=lambda _job, _name, it=given: it)))
        assert not [image for page in paper.pages for image in page.images]
        assert NOT_HERE in " ".join(" ".join(page.extract_text() for page in paper.pages).split())


def test_paper_grows_no_larger_than_can_be_mailed() -> None:
    """What comes after that is named with the reason, and a small one behind it still shown."""
    large, small = b"\xff" * (MOST_ON_PAPER - 10_000), drawn()
    bench = Bench()
    bench.add(FactKind.JOB_STARTED, None, {"procedure": "no-start"})
    kept = {}
    for number, picture in enumerate((drawn("JPEG", (65, 48)), large, large, small), start=2):
        kept[picture_name(number, picture)] = picture
        bench.add(FactKind.PICTURE_TAKEN, "spark-check", {"picture": picture_name(number, picture)})
    record = build_record(bench.entries(), PROCEDURES)
    sizes = {large: (1, 1)}
    shown = printed(record, lambda _job, name: kept[name], size=lambda picture: sizes.get(picture) or size_of(picture))
    assert [bool(one.svg) for one in shown] == [True, True, False, True]
    assert shown[2].caption.endswith(TOO_LARGE)
    assert sum(len(one.svg) for one in shown) < 1.4 * MOST_ON_PAPER


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_the_size_of_a_picture_is_read_from_it(kind: str) -> None:
    """Across and down; what was never let in has none."""
    kept = cleaned(drawn(kind, (321, 120)))
    assert kept is not None and size_of(kept) == (321, 120)
    with pytest.raises(ValueError, match="no frame"):
        size_of(b"\xff\xd8" + b"\xff\xe0\x00\x02" * 9)


def test_forgetting_the_words_forgets_the_picture() -> None:
    """Its name is a personal value: the chain holds as before, the report shows no place for it any more."""
    kept = job(drawn())
    assert all("picture" not in json.loads(one.body).get("data", {}).values() for one in kept)
    assert all(picture_name(2, drawn()) not in one.body for one in kept)
    gone = to_remove(kept, [Belonging.WORDS])
    assert gone == [(2, "/picture")] or tuple(gone) == ((2, "/picture"),)
    emptied = [
        replace(one, apart=without_values(one.apart, frozenset(place for n, place in gone if n == one.number), "2031"))
        for one in kept
    ]
    assert not faults(emptied)
    assert pictures_of([one.fact() for one in emptied]) == ()
    assert "photograph" not in html_text(build_record(emptied, PROCEDURES), same).replace(".photograph", "")


def test_a_page_without_its_photographs_names_those_that_are_not_what_they_say() -> None:
    """Bytes that were changed, and what is no picture text at all; all of them are taken out."""
    fits = image_of(picture_name(3, drawn()), drawn())
    changed = str(fits).replace("base64,", "base64,AAAA")
    broken = '<img class="photograph" data-name="000009-x.jpg" alt="" src="data:image/jpeg;base64,%%">'
    page, wrong = without_images(f"<p>before</p>{fits}{changed}{broken}<p>after</p>".encode())
    assert page == b"<p>before</p><p>after</p>"
    assert wrong == (picture_name(3, drawn()), "000009-x.jpg")
    assert image_of("000003-x.jpg", drawn()) == image_of(picture_name(3, drawn()), None) == ""


def test_a_part_of_a_picture_that_nothing_is_known_of_ends_it() -> None:
    """Between the scans, and a PNG that goes on without an end."""
    whole = drawn("JPEG", (200, 150), progressive=True)
    at = whole.rindex(b"\xff\xda")
    assert cleaned(whole[:at] + b"\xff\xe1\x00\x02" + whole[at:]) is None
    png = drawn("PNG")
    assert cleaned(png[: png.rindex(b"IEND") - 4]) is None
