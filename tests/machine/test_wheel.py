"""The wheel alone is the program: procedures and models come inside it, the source is not needed."""

from __future__ import annotations

import email
import json
import os
import re
import shutil
import subprocess
import sys
import sysconfig
import tarfile
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def _run(*command: str | Path, folder: Path, stdin: str = "") -> subprocess.CompletedProcess[str]:
    """Run a program outside the checkout; its output, or a failure that shows it."""
    environment = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    done = subprocess.run(
        [str(part) for part in command],
        cwd=folder,
        env=environment,
        input=stdin,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert done.returncode == 0, f"{command}: {done.stdout}{done.stderr}"
    return done


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the programs of an empty environment with the wheel, built from a copy that is then gone.

    The source archive is built beside it.

    The libraries that the wheel asks for are lent from the running environment; ours are not: a copy of this
    checkout's path would come after the environment's own packages, and the editable one is only a path file, which
    is not read there.
    """
    home = tmp_path_factory.mktemp("wheel")
    source = home / "source"
    hidden = (".git*", ".pictures", ".venv", ".*_cache")
    made = ("__pycache__", "build", "dist", "vosk-model*", "*.egg-info")
    keep_out = shutil.ignore_patterns(*hidden, *made, "tests")
    shutil.copytree(ROOT, source, ignore=keep_out)
    (source / "models" / "vosk-model-fetched").mkdir()
    (source / "models" / "vosk-model-fetched" / "README").write_text("a model that somebody fetched")
    _run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-t", "sdist", "-d", home / "dist", folder=source)
    source.rename(home / "moved-away")
    shutil.rmtree(home / "moved-away")
    (wheel,) = (home / "dist").glob("*.whl")
    venv.create(home / "empty", with_pip=False)
    python = home / "empty" / "bin" / "python"
    _run(sys.executable, "-m", "pip", "--python", python, "install", "--no-deps", "--no-index", wheel, folder=home)
    own = Path(sysconfig.get_path("purelib", vars={"base": str(home / "empty")}))
    (own / "lent.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return python.parent


def test_the_installed_program_is_the_wheels(installed: Path, tmp_path: Path) -> None:
    """The package that runs lies in the empty environment, not in the checkout."""
    done = _run(installed / "python", "-c", "import assistant; print(assistant.__file__)", folder=tmp_path)
    assert Path(done.stdout.strip()).is_relative_to(installed.parent)


def test_a_typed_session_runs_from_another_folder(installed: Path, tmp_path: Path) -> None:
    """The shipped procedure is found by its id, the job begins, its opening is said and its facts are kept."""
    data, trace = tmp_path / "data", tmp_path / "trace.jsonl"
    options = ["--hear", "typed", "--data", data, "--trace", trace, "--job", "from-the-wheel"]
    done = _run(installed / "hoodside", "start", "no-start", *options, folder=tmp_path, stdin="done\nwhere am i\n")
    turns = [json.loads(line) for line in trace.read_text().splitlines()]
    assert turns[0]["heard"] is None and turns[0]["procedure"] == "no-start"
    assert any(said in done.stdout for said in turns[0]["said"])
    assert [turn["heard"] for turn in turns[1:]] == ["done", "where am i"]
    report = tmp_path / "report.json"
    _run(
        installed / "hoodside", "report", "from-the-wheel", "--data", data, "--format", "json", "--out", report,
        folder=tmp_path,
    )  # fmt: skip
    traced = {fact["id"] for turn in turns for fact in turn["facts"]}
    assert traced and all(key in report.read_text() for key in traced)


def test_the_installed_program_knows_what_models_it_wants(installed: Path, tmp_path: Path) -> None:
    """The manifest came along, and models would go to the user's own folder."""
    done = _run(installed / "hoodside", "models", "list", "--json", folder=tmp_path)
    vosk = [json.loads(line) for line in done.stdout.splitlines()][1]
    assert vosk["state"] == "missing" and not Path(vosk["folder"]).is_relative_to(installed.parent)


def test_the_wheel_carries_what_the_program_reads_and_nothing_else(installed: Path) -> None:
    """Every procedure and the manifest of models; no test, no fetched model, no cache."""
    (wheel,) = (installed.parents[1] / "dist").glob("*.whl")
    names = zipfile.ZipFile(wheel).namelist()
    for procedure in (ROOT / "procedures").glob("*.yaml"):
        assert f"assistant/_shipped/procedures/{procedure.name}" in names
    assert "assistant/_shipped/models/manifest.json" in names
    left_out = ("tests/", "assistant/training/", "vosk-model", "__pycache__")
    assert not [name for name in names if any(part in name for part in left_out)]


def test_the_installed_program_measures_and_does_not_train(installed: Path, tmp_path: Path) -> None:
    """What needs the sources is not offered, and says so in one sentence where it is asked for."""
    offered = _run(installed / "hoodside", "bench", "--help", folder=tmp_path).stdout
    commands = [line.split()[0] for line in offered.splitlines() if line.startswith("  ")]
    assert "reason" in commands and "gate" not in commands
    done = subprocess.run(
        [installed / "hoodside", "bench", "gate"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2 and "in a checkout of the sources" in done.stderr


def test_licences_travel_with_both_archives(installed: Path) -> None:
    """PEP 639: the wheel's metadata name the licence and its files, and wheel and source archive hold them."""
    dist = installed.parents[1] / "dist"
    (wheel,), (source,) = dist.glob("*.whl"), dist.glob("*.tar.gz")
    with zipfile.ZipFile(wheel) as archive, tarfile.open(source) as sources:
        (told,) = [name for name in archive.namelist() if name.endswith(".dist-info/METADATA")]
        metadata = archive.read(told).decode().splitlines()
        assert "License-Expression: MIT" in metadata
        for name in ("LICENSE", "NOTICE", "cmudict.txt"):
            place = f"assistant/licences/{name}"
            assert f"License-File: {place}" in metadata
            text = (ROOT / place).read_bytes()
            assert archive.read(f"{told.rpartition('/')[0]}/licenses/{place}") == text == archive.read(place)
            held = sources.extractfile(f"{source.name.removesuffix('.tar.gz')}/{place}")
            assert held is not None and held.read() == text
        assert archive.read("assistant/procedure/cmudict.dict.gz")


def test_the_page_of_the_package_points_at_no_picture_that_is_not_there(installed: Path) -> None:
    """The page is README.md; a picture's words stand in its place, since the pictures stay with the sources."""
    (wheel,) = (installed.parents[1] / "dist").glob("*.whl")
    with zipfile.ZipFile(wheel) as file:
        (name,) = (each for each in file.namelist() if each.endswith(".dist-info/METADATA"))
        page = email.message_from_bytes(file.read(name))
    text = str(page.get_payload())
    assert page["Description-Content-Type"] == "text/markdown"
    assert text.startswith("# hoodside") and "Try it" in text
    assert "(A picture in the sources: The page while the starter is to be turned" in text
    assert re.findall(r"\]\((?!https://)", text) == []
