"""A seal holds for the very words of its document, in each format, and nothing else can be read as one."""

from __future__ import annotations

import io
import json
from dataclasses import replace

import pypdf
import pytest

from assistant.record.chain import Head
from assistant.record.log import LogHead
from assistant.record.pdf import pdf_bytes
from assistant.record.seal import FORMAT, NoSeal, Seal, opened, seal_from_plain, seal_holds, sealed
from tests.record.store import Seals, signed

SEAL = Seal(
    job="grey --> hatchback",
    job_key="k7",
    head=Head(number=3, hash=b"h" * 32),
    log=LogHead(store="ab", size=5, root=b"r" * 32, utc="2031-05-01T09:00:00Z"),
    made_by="hoodside 0.1",
)
DOCUMENTS = {
    "html": b"<!doctype html>\n<p>Battery 12.4 V</p>\n",
    "pdf": b"%PDF-1.7\n1 0 obj\n<< >>\nendobj\nstartxref\n9\n%%EOF\n",
    "json": b'{"battery": 12.4, "unit": "V"}',
    "csv": b"fact,kind,at,words\r\n1,reading,0.0,Battery 12.4 V\r\n",
    "invoice": b"Battery 12.4 V, all checked.\n",
    "export": b'{"export": "x", "battery": 12.4}\n{"export": "y"}\n',
}


@pytest.mark.parametrize("kind", DOCUMENTS)
def test_each_kind_of_document_keeps_its_seal_and_its_words(kind: str) -> None:
    """What was sealed is read back whole; without a key it carries no signature, and no seal holds."""
    for signer in (Seals(), None):
        found, content, seal = opened(sealed(DOCUMENTS[kind], kind, SEAL, signer))
        same = json.loads(content) == json.loads(DOCUMENTS[kind]) if kind == "json" else content == DOCUMENTS[kind]
        assert (found, same) == (kind, True)
        assert replace(seal, key=b"", signature=b"") == SEAL
        assert seal_holds(content, seal, signed) == bool(seal.key) == (signer is not None)


@pytest.mark.parametrize("kind", DOCUMENTS)
def test_a_word_or_a_part_of_the_seal_that_was_changed_breaks_it(kind: str) -> None:
    """One figure of the document, the job it is of, where its chain or the log ended, who made it."""
    document = sealed(DOCUMENTS[kind], kind, SEAL, Seals())
    changes = [(b"12.4", b"12.5")] if b"12.4" in document else []
    changes += [(b"k7", b"k8"), (b"hatchback", b"hatchbacc"), (b"hoodside 0.1", b"hoodside 0.2"), (b"09:00", b"19:00")]
    for old, new in changes:
        assert old in document
        _, content, seal = opened(document.replace(old, new))
        assert not seal_holds(content, seal, signed)
    _, content, seal = opened(document)
    for other in (replace(seal, head=Head(number=2, hash=b"h" * 32)), replace(seal, log=replace(seal.log, size=4))):
        assert not seal_holds(content, other, signed)
    assert not seal_holds(content, replace(seal, key=b"x" * 32), signed)


def test_the_seal_of_one_document_does_not_hold_for_another() -> None:
    """It is over the words, so it cannot be cut off and put elsewhere."""
    _, _, seal = opened(sealed(DOCUMENTS["html"], "html", SEAL, Seals()))
    assert not seal_holds(DOCUMENTS["invoice"], seal, signed)


def test_a_sealed_pdf_is_still_read_from_its_end(record) -> None:
    """The table of objects is where the last lines say."""
    made = pdf_bytes(record, lambda when: when)
    document = sealed(made, "pdf", SEAL, Seals())
    pages = [len(pypdf.PdfReader(io.BytesIO(one)).pages) for one in (made, document)]
    assert pages[0] == pages[1] > 0
    assert opened(document)[1] == made


def test_a_second_seal_on_json_takes_the_place_of_the_first() -> None:
    """What is sealed is what the document says, not a seal of it."""
    once = sealed(DOCUMENTS["json"], "json", SEAL, Seals())
    again = sealed(once, "json", replace(SEAL, job="other"), Seals())
    _, content, seal = opened(again)
    assert seal.job == "other" and seal_holds(content, seal, signed)
    assert content == opened(once)[1]


def test_a_csv_keeps_its_columns() -> None:
    """The row of the seal is as wide as the others, and the seal stands in its last cell."""
    rows = sealed(DOCUMENTS["csv"], "csv", SEAL, Seals()).decode().splitlines()
    assert rows[-1].startswith(",seal,,") and rows[0].count(",") == 3


@pytest.mark.parametrize(
    "document",
    [
        b"", b"{", b"[" * 100_000, b'{"a": 1}', b'{"seal": "x"}', b"[1]", b"plain words\n",
        b"<p>x</p>\n<!-- hoodside-seal {no JSON} -->\n", b"a\nhoodside-seal []\n", b"a\nhoodside-seal {}\n",
        b'{"seal": {}}', b"a,b,c,d\n,seal,,no JSON\n", b"a,b,c,d\n,seal,,[1]\n", b'{"seal":{}}\n',
        b"\xff\n,seal,,\xff\n",
    ],
)  # fmt: skip
def test_what_is_no_seal_is_told_and_never_crashes(document: bytes) -> None:
    """Whatever stands there."""
    with pytest.raises(NoSeal):
        opened(document)


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("seal",), "another format"), (("chain",), None), (("chain", "number"), "many"), (("chain", "hash"), "00"),
        (("chain", "hash"), 7), (("log", "root"), "00" * 31), (("log", "root"), "xx"), (("key",), None),
        (("signature",), "0"), (("log",), []),
    ],
)  # fmt: skip
def test_a_part_of_the_wrong_kind_is_no_seal(place: tuple[str, ...], value: object) -> None:
    """Each part is what it has to be; a hash has 32 bytes."""
    told = SEAL.plain()
    assert seal_from_plain(told) == SEAL and told["seal"] == FORMAT
    inside = told
    for name in place[:-1]:
        inside = inside[name]
    inside[place[-1]] = value
    with pytest.raises(NoSeal):
        seal_from_plain(told)
    del inside[place[-1]]
    with pytest.raises(NoSeal):
        seal_from_plain(told)
