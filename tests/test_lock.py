"""What README.md's two commands install is locked by hash, and the lock is the one of `pyproject.toml`."""

from __future__ import annotations

import re
import runpy
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.installed import ROOT, asked_for

LOCKS = {"install.lock": (), "tests.lock": ("test", "pdf")}
PYTHONS = ("3.11", "3.12", "3.13", "3.14")


def pins(lock: str) -> list[tuple[Requirement, int]]:
    """Each locked package, and how many hashes it has."""
    text = (ROOT / ".ci" / lock).read_text(encoding="utf-8").replace("\\\n", " ")
    found = []
    for line in filter(None, text.splitlines()):
        wanted, *hashes = line.split("--hash=sha256:")
        assert all(re.fullmatch(r"[0-9a-f]{64}\s*", one) for one in hashes), line
        found.append((Requirement(wanted), len(hashes)))
    return found


def for_python(lock: str, python: str) -> dict[str, str]:
    """Package -> version, on Linux with that Python."""
    there = {"python_version": python, "python_full_version": f"{python}.0", "sys_platform": "linux", "extra": ""}
    there |= {"platform_python_implementation": "CPython", "implementation_name": "cpython", "platform_system": "Linux"}
    versions = {}
    for wanted, _ in pins(lock):
        if wanted.marker is None or wanted.marker.evaluate(there):
            (pin,) = wanted.specifier
            assert pin.operator == "==" and canonicalize_name(wanted.name) not in versions
            versions[canonicalize_name(wanted.name)] = pin.version
    return versions


@pytest.mark.parametrize("lock", [*LOCKS, "audit.lock"])
def test_every_package_is_pinned_by_hash_and_no_place_is_named(lock: str) -> None:
    """One version, at least one SHA-256, and neither an index nor an address."""
    assert pins(lock) and all(hashes for _, hashes in pins(lock))
    text = (ROOT / ".ci" / lock).read_text(encoding="utf-8")
    assert "://" not in text and "index" not in text


@pytest.mark.parametrize("python", PYTHONS)
@pytest.mark.parametrize("lock", LOCKS)
def test_the_lock_holds_what_is_asked_for(lock: str, python: str) -> None:
    """Every requirement, in a version that it allows, for each Python that we promise; and what builds us."""
    versions = for_python(lock, python)
    for wanted in [*asked_for(*LOCKS[lock]), Requirement("hatchling>=1.27"), Requirement("editables")]:
        version = versions.get(canonicalize_name(wanted.name))
        assert version is not None and wanted.specifier.contains(version), f"{wanted}: run .ci/lock"


@pytest.mark.parametrize("python", PYTHONS)
def test_who_tests_runs_what_users_run(python: str) -> None:
    """The two locks agree on every package of the smaller one."""
    users, tests = for_python("install.lock", python), for_python("tests.lock", python)
    assert users.items() <= tests.items()


def test_the_readme_installs_from_the_lock() -> None:
    """Both marked commands: the lock first, then ourselves without asking for anything more."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for marker, lock in (("rehearse", "install"), ("tests", "tests")):
        command = readme.partition(f"<!-- {marker} -->")[2].partition("```sh\n")[2].partition("\n```")[0]
        assert f"pip install -r .ci/{lock}.lock" in command
        assert "--no-deps --no-build-isolation -e ." in command


Judge = Callable[[str, Any], tuple[int, str]]
LOCK = "one==1.0 \\\n    --hash=sha256:aa\ntwo==2.0 \\\n    --hash=sha256:bb\n"


@pytest.fixture(scope="module")
def judge() -> Judge:
    """The judgement of `.ci/vulnerabilities`, which is a program and no package."""
    kept, sys.dont_write_bytecode = sys.dont_write_bytecode, True
    try:
        found: Judge = runpy.run_path(str(ROOT / ".ci" / "vulnerabilities"))["judge"]
    finally:
        sys.dont_write_bytecode = kept
    return found


def test_a_service_that_is_out_of_reach_is_no_pass(judge: Judge) -> None:
    """Said plainly, not failed, and asked once only; whether it breaks or knows nothing."""
    asked = []

    def breaks(requirements: str) -> Any:
        asked.append(requirements)
        raise OSError("no such host")

    assert judge(LOCK, breaks) == (0, "VULNERABILITIES NOT CHECKED: no such host")
    assert asked == ["one==1.0 \\\n    --hash=sha256:aa"]
    skips = [{"name": "one", "skip_reason": "not found on PyPI"}]
    assert judge(LOCK, lambda _: skips) == (0, "VULNERABILITIES NOT CHECKED: not found on PyPI")


def test_a_known_hole_fails_and_is_named(judge: Judge) -> None:
    """With the version that mends it; what the service does not know is named beside it."""
    hole = {"id": "PYSEC-1", "fix_versions": ["1.1"]}
    answers = {
        "one": {"name": "one", "version": "1.0", "vulns": [hole]},
        "two": {"name": "two", "skip_reason": "not found"},
    }
    code, told = judge(LOCK, lambda text: [answers[name] for name in answers if f"{name}==" in text])
    assert code == 1
    assert told.splitlines() == [
        "vulnerabilities: 1 packages checked, 1 known holes",
        "one 1.0: PYSEC-1, mended in 1.1",
        "NOT CHECKED, since the service does not know them: two",
    ]


def test_packages_without_a_known_hole_pass(judge: Judge) -> None:
    """Counted, so that nobody takes an empty answer for a pass."""
    found = [{"name": "one", "version": "1.0", "vulns": []}]
    assert judge(LOCK, lambda _: found) == (0, "vulnerabilities: 1 packages checked, 0 known holes")
    assert Path(ROOT / ".ci" / "vulnerabilities").stat().st_mode & 0o100
