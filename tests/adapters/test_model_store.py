"""Models come whole, checked and from inside their own folder, or not at all; a local server stands for the list."""

from __future__ import annotations

import hashlib
import io
import json
import os
import stat
import subprocess
import sys
import threading
import zipfile
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import SimpleNamespace

import pytest

from assistant.adapters.model_store import store
from assistant.adapters.model_store import unpack as unpacking
from assistant.adapters.model_store.manifest import Manifest, Wanted, read_manifest
from assistant.adapters.model_store.store import FILES, ModelStore, State
from assistant.errors import SetupError, UsageError

NAME = "vosk-model-small-en-us-0.15"
PARTS = {
    f"{NAME}/am/final.mdl": b"acoustic" * 100,
    f"{NAME}/conf/mfcc.conf": b"--x=1\n",
    f"{NAME}/graph/HCLr.fst": b"g",
}


class Server:
    """Serves what the test puts into `pages`; `redirects` lead elsewhere; `cut` ends every archive early."""

    def __init__(self) -> None:
        self.pages: dict[str, bytes] = {}
        self.redirects: dict[str, str] = {}
        self.cut = False
        self.asked: list[str] = []
        outer = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                """One page."""
                outer.asked.append(self.path)
                if self.path in outer.redirects:
                    self.send_response(302)
                    self.send_header("Location", outer.redirects[self.path])
                    self.end_headers()
                elif self.path in outer.pages:
                    body = outer.pages[self.path]
                    self.send_response(200)
                    self.send_header("Content-Length", str(len(body)))
                    self.end_headers()
                    self.wfile.write(body[: len(body) // 2] if outer.cut and "zip" in self.path else body)
                else:
                    self.send_error(404)

            def log_message(self, *_args: object) -> None:
                """Quiet."""

        self.http = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.url = f"http://127.0.0.1:{self.http.server_port}"
        self.thread = threading.Thread(target=self.http.serve_forever, args=(0.02,), daemon=True)
        self.thread.start()

    def offer(self, archive: bytes, **changes: object) -> None:
        """Put the archive and a list that offers it, in the form of Vosk's own."""
        self.pages["/m.zip"] = archive
        entry = {
            "name": NAME,
            "lang": "en-us",
            "type": "small",
            "obsolete": "false",
            "url": f"{self.url}/m.zip",
            "md5": hashlib.md5(archive, usedforsecurity=False).hexdigest(),
            "size": len(archive),
        } | changes
        self.pages["/list.json"] = json.dumps([{"name": "other", "url": f"{self.url}/o.zip"}, entry]).encode()


@pytest.fixture
def server() -> Iterator[Server]:
    """A local server for one test."""
    running = Server()
    yield running
    running.http.shutdown()
    running.http.server_close()


def _archive(parts: dict[str, bytes] | None = None) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as zipped:
        for name, content in (PARTS if parts is None else parts).items():
            zipped.writestr(name, content)
    return out.getvalue()


def _store(server: Server, folder: Path, sha256: str | None = None) -> ModelStore:
    wanted = Wanted(name=NAME, engine="vosk", language="en-us", sha256=sha256)
    return ModelStore(folder, Manifest(list_url=f"{server.url}/list.json", models=(wanted,)))


def _leftovers(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir()) if folder.is_dir() else []


def test_a_model_is_fetched_whole_once(server: Server, tmp_path: Path) -> None:
    """It lies in its place with a checksum for each file, nothing else is left, and a second fetch asks nobody."""
    server.offer(_archive())
    store = _store(server, tmp_path)
    assert store.standings()[0].state is State.MISSING and store.first("vosk", "en") is None
    told: list[tuple[int, int | None]] = []
    standing = store.fetch(progress=lambda got, size: told.append((got, size)))
    assert standing.state is State.WHOLE
    assert _leftovers(tmp_path) == [NAME]
    assert (tmp_path / NAME / "am/final.mdl").read_bytes() == PARTS[f"{NAME}/am/final.mdl"]
    assert (tmp_path / NAME / FILES).read_text().count("\n") == len(PARTS)
    assert told[-1] == (len(_archive()), len(_archive()))
    assert store.first("vosk", "en") == tmp_path / NAME
    asked = len(server.asked)
    assert store.fetch().state is State.WHOLE and len(server.asked) == asked


def test_a_changed_or_missing_file_is_damage_and_is_fetched_again(server: Server, tmp_path: Path) -> None:
    """`deep` finds a flipped byte; the next fetch puts the model right."""
    server.offer(_archive())
    store = _store(server, tmp_path)
    store.fetch()
    (tmp_path / NAME / "graph/HCLr.fst").write_bytes(b"h")
    assert store.standings()[0].state is State.WHOLE
    (damaged,) = store.standings(deep=True)
    assert (damaged.state, damaged.fault) == (State.DAMAGED, "graph/HCLr.fst has changed")
    assert store.fetch().state is State.WHOLE
    (tmp_path / NAME / "am/final.mdl").unlink()
    assert store.standings()[0].fault == "am/final.mdl is missing"
    assert store.first("vosk", "en") is None
    store.fetch()
    assert _leftovers(tmp_path) == [NAME]


def test_a_model_put_there_by_hand_is_used_but_unchecked(server: Server, tmp_path: Path) -> None:
    """Its parts are there, their checksums are unknown; another English Vosk model serves as well."""
    for name in (NAME, "vosk-model-en-us-0.22-lgraph"):
        for part in ("am/final.mdl", "conf/mfcc.conf"):
            (tmp_path / name / part).parent.mkdir(parents=True, exist_ok=True)
            (tmp_path / name / part).touch()
    store = _store(server, tmp_path)
    assert store.standings(deep=True)[0].state is State.UNCHECKED
    assert store.first("vosk", "en") == tmp_path / NAME
    (tmp_path / NAME / "am/final.mdl").unlink()
    assert store.first("vosk", "en") == tmp_path / "vosk-model-en-us-0.22-lgraph"
    assert store.first("vosk", "de") is None


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"md5": "0" * 32}, "The MD5 of .* nothing was kept"),
        ({"size": 12}, "instead of 12; nothing was kept"),
        ({"md5": None}, "Neither the list nor the manifest has a checksum"),
        ({"url": "file:///etc/hostname"}, "not an https address"),
        ({"url": "http://example.invalid/m.zip"}, "not an https address"),
        ({"name": "gone"}, "no longer offers"),
    ],
)
def test_a_wrong_offer_leaves_nothing(server: Server, tmp_path: Path, changes: dict[str, object], words: str) -> None:
    """A wrong checksum, size, address or name is one sentence, and the folder is as before."""
    server.offer(_archive(), **changes)
    with pytest.raises(SetupError, match=words):
        _store(server, tmp_path).fetch()
    assert _leftovers(tmp_path) == []


def test_the_manifests_checksum_counts_as_well(server: Server, tmp_path: Path) -> None:
    """A list and an archive that both changed are still refused when the manifest knows better."""
    server.offer(_archive())
    with pytest.raises(SetupError, match="SHA-256"):
        _store(server, tmp_path, sha256="0" * 64).fetch()
    right = hashlib.sha256(_archive()).hexdigest()
    assert _store(server, tmp_path, sha256=right).fetch().state is State.WHOLE


def test_a_connection_that_breaks_leaves_nothing(server: Server, tmp_path: Path) -> None:
    """Half an archive is no archive."""
    server.offer(_archive())
    server.cut = True
    with pytest.raises(SetupError, match=r"nothing was kept|cannot be reached"):
        _store(server, tmp_path).fetch()
    assert _leftovers(tmp_path) == []


def test_no_network_says_how_to_go_on(tmp_path: Path) -> None:
    """The other engine and the way by hand are named."""
    manifest = Manifest(
        list_url="http://127.0.0.1:9/list.json",
        models=(Wanted(name=NAME, engine="vosk", language="en-us", sha256=None),),
    )
    with pytest.raises(SetupError, match=r"cannot be reached .*--engine embedded.*models/README\.md"):
        ModelStore(tmp_path, manifest).fetch()


@pytest.mark.parametrize("page", [b"<html>", b"{}", b'[{"no": 1}]', b'["x"]', b"\xff\xfe"])
def test_a_page_that_is_no_list_is_refused(server: Server, tmp_path: Path, page: bytes) -> None:
    """A captive portal's page is not a list of models."""
    server.pages["/list.json"] = page
    with pytest.raises(SetupError, match=r"is not a list of models|no longer offers"):
        _store(server, tmp_path).fetch()


def test_a_redirect_may_not_leave_the_web(server: Server, tmp_path: Path) -> None:
    """An address that answers with a file of this machine is refused."""
    server.offer(_archive(), url=f"{server.url}/moved.zip")
    server.redirects["/moved.zip"] = "file:///etc/hostname"
    with pytest.raises(SetupError):
        _store(server, tmp_path).fetch()
    server.redirects["/moved.zip"] = f"{server.url}/m.zip"
    assert _store(server, tmp_path).fetch().state is State.WHOLE


def _linked() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as zipped:
        link = zipfile.ZipInfo(f"{NAME}/am/final.mdl")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        zipped.writestr(link, "/etc/passwd")
    return out.getvalue()


def _twice() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as zipped, pytest.warns(UserWarning, match="Duplicate"):
        zipped.writestr(f"{NAME}/a", "1")
        zipped.writestr(f"{NAME}/a", "2")
    return out.getvalue()


def _nameless() -> bytes:
    """The list of its files calls the first one nothing."""
    content = bytearray(_archive({"q": b"x"} | PARTS))
    listed = content.index(b"PK\x01\x02")
    content[listed + 28], content[listed + 30] = 0, 1  # the name's length, and that of what follows it
    return bytes(content)


@pytest.mark.parametrize(
    ("archive", "words"),
    [
        (lambda: _archive(PARTS | {"../evil": b"x"}), "does not lie under"),
        (lambda: _archive(PARTS | {f"{NAME}/../../evil": b"x"}), "does not lie under"),
        (lambda: _archive(PARTS | {"/etc/evil": b"x"}), "does not lie under"),
        (lambda: _archive(PARTS | {f"{NAME}/a:b": b"x"}), "does not lie under"),
        (lambda: _archive(PARTS | {"other/evil": b"x"}), "does not lie under"),
        (lambda: _archive(PARTS | {"evil": b"x"}), "does not lie under"),
        (_linked, "is not a plain file"),
        (_twice, "holds one file twice"),
        (lambda: _archive({}), "holds 0 files"),
        (lambda: _archive({f"{NAME}/am/final.mdl": b"x"}), "lacks conf/mfcc.conf"),
        (lambda: _archive()[:200], "is damaged"),
        (lambda: b"not an archive", "is damaged"),
        (_nameless, r"is damaged|does not lie under"),
    ],
)
def test_a_hostile_archive_leaves_nothing(server: Server, tmp_path: Path, archive: object, words: str) -> None:
    """Escapes, links, doubles, strangers and ruins are refused before the model has a place."""
    assert callable(archive)
    server.offer(archive())
    folder = tmp_path / "models"
    with pytest.raises(SetupError, match=words):
        _store(server, folder).fetch()
    assert _leftovers(folder) == []
    assert _leftovers(tmp_path) == ["models"]


def test_a_bomb_is_stopped_by_what_comes_out(server: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A few bytes that unpack to more than the limit are cut off, whatever size the archive states."""
    monkeypatch.setattr(unpacking, "MAX_UNPACKED_BYTES", 2_000_000)
    server.offer(_archive(PARTS | {f"{NAME}/bomb": bytes(50_000_000)}))
    with pytest.raises(SetupError, match="unpacks to more than"):
        _store(server, tmp_path).fetch()
    assert _leftovers(tmp_path) == []


def test_a_failed_fetch_keeps_the_model_that_was_there(server: Server, tmp_path: Path) -> None:
    """A damaged model is replaced only once the new one is whole."""
    server.offer(_archive())
    store = _store(server, tmp_path)
    store.fetch()
    (tmp_path / NAME / "graph/HCLr.fst").write_bytes(b"h")
    server.offer(b"not an archive")
    with pytest.raises(SetupError):
        store.fetch()
    assert (tmp_path / NAME / "graph/HCLr.fst").read_bytes() == b"h"
    assert _leftovers(tmp_path) == [NAME]


def test_a_killed_fetch_is_no_model_and_is_swept_away(server: Server, tmp_path: Path) -> None:
    """What a process killed in the middle of its download leaves is not taken for a model."""
    server.offer(_archive())
    program = (
        "import os, sys\n"
        "from pathlib import Path\n"
        "from assistant.adapters.model_store.manifest import Manifest, Wanted\n"
        "from assistant.adapters.model_store.store import ModelStore\n"
        "wanted = Wanted(name=sys.argv[3], engine='vosk', language='en-us', sha256=None)\n"
        "store = ModelStore(Path(sys.argv[2]), Manifest(list_url=sys.argv[1], models=(wanted,)))\n"
        "store.fetch(progress=lambda got, size: os.kill(os.getpid(), 9))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, f"{server.url}/list.json", str(tmp_path), NAME], check=False, timeout=60
    )
    assert done.returncode == -9
    assert len(_leftovers(tmp_path)) == 1
    store = _store(server, tmp_path)
    assert store.standings()[0].state is State.MISSING and store.first("vosk", "en") is None
    assert store.fetch().state is State.WHOLE
    assert _leftovers(tmp_path) == [NAME]


def test_a_folder_that_cannot_be_written_is_one_sentence(server: Server, tmp_path: Path) -> None:
    """A file where the folder should be: the sentence names the way out."""
    server.offer(_archive())
    (tmp_path / "models").write_text("in the way")
    with pytest.raises(SetupError, match="--models"):
        _store(server, tmp_path / "models").fetch()


def test_an_unknown_name_lists_the_known_ones(server: Server, tmp_path: Path) -> None:
    """Wrong use, with what could have been meant."""
    with pytest.raises(UsageError, match=NAME):
        _store(server, tmp_path).fetch("nothing")


def test_the_shipped_manifest_reads() -> None:
    """It names the small US-English model and Vosk's own list."""
    manifest = read_manifest(Path(__file__).parents[2] / "models" / "manifest.json")
    assert [wanted.engine for wanted in manifest.models] == ["vosk"]
    assert manifest.list_url.startswith("https://")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "not JSON"),
        ("{}", "'list'"),
        ('{"list": "x", "models": [{"name": "../x", "engine": "vosk", "language": "en"}]}', "not a plain name"),
        ('{"list": "x", "models": [{"name": "x", "engine": "v", "language": "en", "sha256": "1"}]}', "64 hexadecimal"),
        ('{"list": "x", "models": [{"name": "x", "engine": "v", "language": "en", "md5": "1"}]}', "unknown key 'md5'"),
    ],
)
def test_a_wrong_manifest_is_one_sentence(tmp_path: Path, text: str, words: str) -> None:
    """The file and the fault are named."""
    (tmp_path / "manifest.json").write_text(text)
    with pytest.raises(SetupError, match=words):
        read_manifest(tmp_path / "manifest.json")
    with pytest.raises(SetupError, match="cannot be read"):
        read_manifest(tmp_path / os.devnull.strip("/"))


def test_a_system_that_opens_no_folder_still_gets_its_model(
    server: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows refuses to open a folder and to flush a file opened for reading alone."""
    readable: set[int] = set()

    def windows_open(path: Path, flags: int) -> int:
        if path.is_dir():
            raise PermissionError(13, "Permission denied")
        handle = os.open(path, flags)
        if not flags & (os.O_RDWR | os.O_WRONLY):
            readable.add(handle)
        return handle

    def windows_fsync(handle: int) -> None:
        if handle in readable:
            raise OSError(9, "Bad file descriptor")
        os.fsync(handle)

    windows = SimpleNamespace(**vars(os) | {"open": windows_open, "fsync": windows_fsync})
    server.offer(_archive())
    monkeypatch.setattr(store, "os", windows)
    assert _store(server, tmp_path).fetch().state is State.WHOLE


@pytest.mark.parametrize("packaged", [[], {"m": []}, {"m": {"file": "short"}}, {"m": {"file": None}}])
def test_a_manifest_with_odd_sums_is_refused(tmp_path: Path, packaged: object) -> None:
    """A checksum that is none would never be compared."""
    (tmp_path / "manifest.json").write_text(json.dumps({"list": "x", "models": [], "packaged": packaged}))
    with pytest.raises(SetupError, match="not a list of models"):
        read_manifest(tmp_path / "manifest.json")
