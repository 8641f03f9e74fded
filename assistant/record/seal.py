"""The seal of a document: what it says, where the job's chain and the store's log ended, signed as one.

A seal stands at the end of the document, where its format lets it: as a comment in HTML, in PDF behind the last object,
in JSON as the last member, in CSV and in an export as the last line. The signature is over the seal and over the
document without it, so neither can be given another of the other.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from assistant.record.chain import Head, canonical
from assistant.record.log import LogHead, Signed, Signer

FORMAT = "hoodside-seal-1"
PREFIX = b"hoodside sealed document 1\n"
HASH_BYTES = 32

_HTML = re.compile(rb"<!-- hoodside-seal (\{[^\n]*\}) -->\n\Z")
_PDF = re.compile(rb"\n%hoodside-seal (\{[^\n]*\})\nstartxref\n\d+\n%%EOF\n\Z")
_PDF_END = re.compile(rb"startxref\s+(\d+)\s+%%EOF\s*\Z")
_LINE = re.compile(rb"(?:\A|(?<=\n))(\{\"seal\":[^\n]*\})\n\Z")
_ROW = re.compile(rb"(?<=\n)(,seal,[^\n]*)\n\Z")


class NoSeal(ValueError):
    """The document holds no seal that can be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seal:
    """`job`, `job_key`, `head`: of which job, and where its chain ended; empty for an export of many. `log`: where that
    of the store ended.

    `made_by`: the version that worded the document. `key` and `signature` are empty where nobody could sign.
    """

    job: str = ""
    job_key: str = ""
    head: Head = field(default_factory=Head)
    log: LogHead = field(default_factory=LogHead)
    made_by: str = ""
    key: bytes = b""
    signature: bytes = b""

    def plain(self) -> dict[str, Any]:
        """The seal as JSON values."""
        return {
            "seal": FORMAT,
            "job": self.job,
            "job_key": self.job_key,
            "chain": {"number": self.head.number, "hash": self.head.hash.hex()},
            "log": {"store": self.log.store, "size": self.log.size, "root": self.log.root.hex(), "utc": self.log.utc},
            "made_by": self.made_by,
            "key": self.key.hex(),
            "signature": self.signature.hex(),
        }

    def message(self, content: bytes) -> bytes:
        """What is signed for a document of this content."""
        unsigned = replace(self, signature=b"").plain()
        return PREFIX + canonical(unsigned).encode() + b"\n" + hashlib.sha256(content).digest()


def seal_from_plain(told: Mapping[str, Any]) -> Seal:
    """The seal of these JSON values. Raises NoSeal."""
    try:
        if told["seal"] != FORMAT:
            raise NoSeal(f"this is no seal of the format {FORMAT}")
        chain, log = told["chain"], told["log"]
        head = Head(number=int(chain["number"]), hash=bytes.fromhex(chain["hash"]))
        root = bytes.fromhex(log["root"])
        if len(head.hash) != HASH_BYTES or len(root) != HASH_BYTES:
            raise NoSeal("a hash has 32 bytes")
        return Seal(
            job=str(told["job"]),
            job_key=str(told["job_key"]),
            head=head,
            log=LogHead(store=str(log["store"]), size=int(log["size"]), root=root, utc=str(log["utc"])),
            made_by=str(told["made_by"]),
            key=bytes.fromhex(told["key"]),
            signature=bytes.fromhex(told["signature"]),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as reason:
        raise NoSeal("a part of the seal is missing or of the wrong kind") from reason


def sealed(content: bytes, kind: str, seal: Seal, signer: Signer | None) -> bytes:
    """The document with its seal. `kind`: html, pdf, json, csv, export. Raises KeyError for another."""
    write, _ = _FORMS[kind]
    base = _json_content(json.loads(content)) if kind == "json" else content
    seal = replace(seal, key=signer.key if signer else b"")
    if signer:
        seal = replace(seal, signature=signer.sign(seal.message(base)))
    return write(content, seal)


def opened(document: bytes) -> tuple[str, bytes, Seal]:
    """Kind, content without its seal, and seal of a document. Raises NoSeal."""
    for kind, (_, read) in _FORMS.items():
        found = read(document)
        if found is not None:
            return kind, *found
    raise NoSeal("no seal was found")


def seal_holds(content: bytes, seal: Seal, signed: Signed) -> bool:
    """Whether the seal's key signed this very content."""
    return bool(seal.key) and signed(seal.key, seal.message(content), seal.signature)


def _text(seal: Seal) -> str:
    """The seal on one line, which ends neither a comment nor a string of any of the formats."""
    return json.dumps(seal.plain(), ensure_ascii=True, separators=(",", ":")).replace(">", "\\u003e")


def _read(text: bytes) -> Seal:
    try:
        told = json.loads(text)
    except (ValueError, RecursionError) as reason:
        raise NoSeal("the seal is no JSON") from reason
    if not isinstance(told, dict):
        raise NoSeal("the seal is no JSON object")
    return seal_from_plain(told)


def _matched(document: bytes, pattern: re.Pattern[bytes]) -> tuple[bytes, Seal] | None:
    found = pattern.search(document)
    return None if found is None else (document[: found.start()], _read(found.group(1)))


def _write_html(content: bytes, seal: Seal) -> bytes:
    return content + f"<!-- hoodside-seal {_text(seal)} -->\n".encode()


def _write_pdf(content: bytes, seal: Seal) -> bytes:
    """Behind the last object, as a comment; where the table of objects lies is said once more, for readers to find."""
    end = _PDF_END.search(content)
    start = int(end.group(1)) if end else 0
    return content + f"\n%hoodside-seal {_text(seal)}\nstartxref\n{start}\n%%EOF\n".encode()


def _json_content(told: Mapping[str, Any]) -> bytes:
    return canonical({name: value for name, value in told.items() if name != "seal"}).encode()


def _write_json(content: bytes, seal: Seal) -> bytes:
    return json.dumps({**json.loads(content), "seal": seal.plain()}, indent=1, ensure_ascii=True).encode() + b"\n"


def _read_json(document: bytes) -> tuple[bytes, Seal] | None:
    if not document.lstrip().startswith(b"{"):
        return None
    try:
        told = json.loads(document)
    except (ValueError, RecursionError):
        return None
    if not isinstance(told, dict) or not isinstance(told.get("seal"), dict):
        return None
    try:
        return _json_content(told), seal_from_plain(told["seal"])
    except (ValueError, TypeError, RecursionError) as reason:
        raise NoSeal(str(reason)) from reason


def _write_csv(content: bytes, seal: Seal) -> bytes:
    columns = len(next(csv.reader(io.StringIO(content.decode())), []))
    row = io.StringIO()
    csv.writer(row, lineterminator="\r\n").writerow(["", "seal", *[""] * max(0, columns - 3), _text(seal)])
    return content + row.getvalue().encode()


def _read_csv(document: bytes) -> tuple[bytes, Seal] | None:
    found = _ROW.search(document)
    if found is None:
        return None
    row = next(csv.reader(io.StringIO(found.group(1).decode("utf-8", "replace"))))
    return document[: found.start()], _read(row[-1].encode())


def _write_line(content: bytes, seal: Seal) -> bytes:
    return content + _text(seal).encode() + b"\n"


_Form = tuple[Callable[[bytes, Seal], bytes], Callable[[bytes], tuple[bytes, Seal] | None]]
_FORMS: Mapping[str, _Form] = {
    "html": (_write_html, lambda document: _matched(document, _HTML)),
    "pdf": (_write_pdf, lambda document: _matched(document, _PDF)),
    "export": (_write_line, lambda document: _matched(document, _LINE)),
    "csv": (_write_csv, _read_csv),
    "json": (_write_json, _read_json),
}
SEALED = frozenset(_FORMS) - {"export"}
"""Formats of a report that carry a seal; the paragraph for an invoice is for the customer and carries none."""
