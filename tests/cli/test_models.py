"""`hoodside models` says what there is, and its exit codes tell a script."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.__main__ import run
from assistant.adapters.recogniser_embedded.files import NetworkFiles, find_network
from assistant.cli import models

NAME = "vosk-model-small-en-us-0.15"


def _put_model(folder: Path) -> None:
    for part in ("am/final.mdl", "conf/mfcc.conf"):
        (folder / NAME / part).parent.mkdir(parents=True, exist_ok=True)
        (folder / NAME / part).write_text("x")


def test_list_shows_every_engine_as_json_lines(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The network of the package and the wanted Vosk model, one JSON value a line."""
    assert run(["models", "list", "--models", str(tmp_path), "--json"]) == 0
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [(line["engine"], line["state"]) for line in lines] == [("embedded", "installed"), ("vosk", "missing")]
    assert lines[1]["folder"] == str(tmp_path / NAME)


def test_verify_answers_no_only_for_damage(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Missing is 0, put there by hand is 0, a file gone is 1 and named."""
    assert run(["models", "verify", "--models", str(tmp_path)]) == 0
    _put_model(tmp_path)
    assert run(["models", "verify", "--models", str(tmp_path)]) == 0
    assert "unchecked" in capsys.readouterr().out
    (tmp_path / NAME / "am/final.mdl").unlink()
    assert run(["models", "verify", "--models", str(tmp_path)]) == 1
    assert "damaged (am/final.mdl is missing)" in capsys.readouterr().out


def test_fetch_without_a_network_is_exit_code_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One sentence on standard error, nothing left behind."""
    manifest = {
        "list": "http://127.0.0.1:9/list.json",
        "models": [{"name": NAME, "engine": "vosk", "language": "en-us"}],
    }
    (tmp_path / "manifest.json").write_text(json.dumps(manifest))
    assert run(["models", "fetch", "--models", str(tmp_path)]) == 3
    told = capsys.readouterr()
    assert told.out == "" and "cannot be reached" in told.err
    assert [path.name for path in tmp_path.iterdir()] == ["manifest.json"]
    assert run(["models", "fetch", "nothing", "--models", str(tmp_path)]) == 2


def test_a_changed_file_of_the_packaged_network_is_damage(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shipped manifest knows every file of the installed network; one that differs is named, exit code 1."""
    assert run(["models", "verify", "--models", str(tmp_path), "--json"]) == 0
    assert [json.loads(line)["pinned"] for line in capsys.readouterr().out.splitlines()] == [True, True]
    network = find_network()
    for file in (network.encoder, network.decoder, network.tokenizer):
        (tmp_path / file.name).symlink_to(file)
    (tmp_path / network.tokenizer.name).unlink()
    (tmp_path / network.tokenizer.name).write_bytes(b"another")
    moved = NetworkFiles(
        encoder=tmp_path / network.encoder.name,
        decoder=tmp_path / network.decoder.name,
        tokenizer=tmp_path / network.tokenizer.name,
    )
    monkeypatch.setattr(models, "find_network", lambda: moved)
    assert run(["models", "verify", "--models", str(tmp_path / "models")]) == 1
    assert "damaged (tokenizer.bin is not the file of the manifest)" in capsys.readouterr().out


def test_what_has_no_checksum_is_said_to_be_unpinned(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A manifest that knows none says so for each model, in words and in JSON."""
    manifest = {"list": "https://models.invalid/", "models": [{"name": NAME, "engine": "vosk", "language": "en-us"}]}
    (tmp_path / "manifest.json").write_text(json.dumps(manifest))
    assert run(["models", "verify", "--models", str(tmp_path)]) == 0
    assert capsys.readouterr().out.count("unpinned: the manifest has no SHA-256") == 2
    assert run(["models", "list", "--models", str(tmp_path), "--json"]) == 0
    assert [json.loads(line)["pinned"] for line in capsys.readouterr().out.splitlines()] == [False, False]
