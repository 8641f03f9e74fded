"""Damaged and made-up files of the shop: stores, exports, settings, heads, models, voices. One sentence each."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.heads_file import RememberedHeads
from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.model_store.manifest import read_manifest
from assistant.adapters.model_store.unpack import unpack
from assistant.adapters.shop_settings import FILE_NAME, read_settings
from assistant.adapters.signer_ed25519 import is_signed
from assistant.adapters.voice_profiles import VoiceProfiles
from assistant.desk.taking_in import open_export
from assistant.errors import HoodsideError, RecordError, SetupError, UsageError
from assistant.hearing.correction import Correction
from assistant.record.build import build_record
from assistant.record.chain import UNREADABLE, facts_of
from assistant.record.exchange import ForgedExport, export_line
from assistant.record.seal import NoSeal, Seal, opened, sealed
from assistant.record.summary import JobQuery
from assistant.record.verify import verify_job
from tests.fuzz.odd import bounded, cases, odd_bytes, odd_texts
from tests.record.sample_job import PROCEDURES, sample_job

UTC = "2031-05-01T09:00:00.000Z"
LINE = export_line(sample_job().entries())
EXPORT = sealed(LINE.encode(), "export", Seal(log=sample_job().journal.log_head()), None)
MANIFEST = '{"list": "https://models.example/list.json", "models": [{"name": "m", "engine": "vosk", "language": "en"}]}'
SETTINGS = '{"name": "Bay Nine", "technician": "Sam", "paper": "letter"}'
HEADS = '{"store": "ab", "size": 3, "root": "' + "0" * 64 + '", "utc": "' + UTC + '"}\n'

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8), lambda inside:
    st.lists(inside, max_size=4) | st.dictionaries(st.sampled_from(("job", "facts", "chain", "list", "models", "name",
    "size", "root", "store", "body", "hash", "number", "personal", "removals", "texts")), inside, max_size=5),
    max_leaves=12,
).map(json.dumps)  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One for all cases."""
    return tmp_path_factory.mktemp("odd")


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A store with the invented job in it, as bytes."""
    there = tmp_path_factory.mktemp("store")
    journal = SqliteJournal(there, lambda: UTC)
    journal.take(sample_job().entries())
    journal.close()
    return (there / "jobs.sqlite").read_bytes()


@cases(40, share=0.2)
@given(st.data())
def test_a_store(folder: Path, store: bytes, data: st.DataObject) -> None:
    """A store with odd bytes in it is refused, or read as far as it is sound; it is never changed by looking."""
    content = data.draw(odd_bytes(store, head=data.draw(st.sampled_from((100, 4_096, len(store))))))
    path = folder / "jobs.sqlite"
    path.write_bytes(content)
    with bounded():
        try:
            journal = SqliteJournal(folder, lambda: UTC, reading=True, busy_s=0.0)
        except RecordError as refused:
            assert str(path) in str(refused)
        else:
            try:
                journal.damage()
                for job in journal.jobs():
                    build_or_refuse(journal, job)
                journal.search(JobQuery(words=("starter",)))
            except HoodsideError:
                pass
            finally:
                journal.close()
    assert path.read_bytes() == content


def build_or_refuse(journal: SqliteJournal, job: str) -> None:
    """Whatever stands in the job: a verdict, and a record or a refusal in words."""
    verify_job(journal, job)
    entries = journal.entries(job)
    try:
        facts_of(entries)
    except UNREADABLE:
        return
    if entries:
        build_record(entries, PROCEDURES)


@cases(80)
@given(st.one_of(odd_texts((LINE, EXPORT.decode("utf-8", "surrogateescape"))), JSON, st.text(max_size=60)))
def test_an_import(text: str) -> None:
    """What comes from another machine is taken whole or refused in words; what is taken can be kept."""
    content = text.encode("utf-8", "surrogatepass")
    with bounded():
        try:
            export, _ = open_export(content, is_signed)
        except ForgedExport as refused:
            assert str(refused)
            return
        for one in export.jobs:
            journal = MemoryJournal(lambda: UTC)
            try:
                journal.take(one.entries)
            except RecordError as refused:
                assert str(refused)


@cases(80)
@given(st.one_of(odd_bytes(EXPORT, head=len(EXPORT)), odd_bytes(b"%PDF-1.7\n" + EXPORT), st.binary(max_size=200)))
def test_a_sealed_paper(content: bytes) -> None:
    """A report or export is opened, or has no seal that can be read."""
    with bounded():
        try:
            opened(content)
        except NoSeal as refused:
            assert str(refused)


@cases(80)
@given(st.one_of(odd_texts((MANIFEST, SETTINGS, HEADS)), JSON, st.just("[" * 100_000), st.just('{"size": 1e400}')))
def test_small_files(folder: Path, text: str) -> None:
    """Settings, manifest and remembered heads: read, or one sentence with the file's name."""
    content = text.encode("utf-8", "surrogatepass")
    heads = RememberedHeads(folder, folder)
    (folder / "seen").mkdir(exist_ok=True)
    heads._path.write_bytes(content)
    (folder / FILE_NAME).write_bytes(content)
    with bounded():
        heads.heads()
        for read in (lambda: read_settings(folder), lambda: read_manifest(folder / FILE_NAME)):
            try:
                read()
            except SetupError as refused:
                assert FILE_NAME in str(refused)


def profile() -> bytes:
    """A learnt voice, as it is kept."""
    out = io.BytesIO()
    np.savez(out, weight0=np.zeros((3, 2), np.float16), bias0=np.zeros(2, np.float32), version=1, layers="x")
    return out.getvalue()


@cases(50, share=0.5)
@given(odd_bytes(profile()))
def test_a_learnt_voice(folder: Path, content: bytes) -> None:
    """Read, or refused by its name."""
    (folder / "sam.npz").write_bytes(content)
    with bounded():
        try:
            found = VoiceProfiles(folder, "x").read("sam")
        except (SetupError, UsageError) as refused:
            assert "sam" in str(refused)
        else:
            assert all(isinstance(one, Correction) for one in found)


def archive() -> bytes:
    """A model as it is fetched."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as zipped:
        zipped.writestr("m/conf/model.conf", "x" * 200)
        zipped.writestr("m/README", "made up")
    return out.getvalue()


@cases(60, share=0.7)
@given(st.data())
def test_an_archive(tmp_path_factory: pytest.TempPathFactory, folder: Path, data: st.DataObject) -> None:
    """Unpacked inside its folder, or refused in words; nothing is ever written beside it."""
    content = data.draw(odd_bytes(archive()))
    into = folder / "into"
    for old in sorted(into.rglob("*"), reverse=True) if into.exists() else ():
        old.rmdir() if old.is_dir() else old.unlink()
    into.mkdir(exist_ok=True)
    before = {path for path in folder.iterdir() if path != into}
    with bounded():
        try:
            unpack(io.BytesIO(content), into, name="m")
        except SetupError as refused:
            assert "'m'" in str(refused)
    assert {path for path in folder.iterdir() if path != into} == before
