"""What a default installation brings may be passed on: no GPL in it, and nothing unknown."""

from __future__ import annotations

import re
import tomllib
from email.message import Message
from importlib.metadata import distributions, metadata

import pytest
from packaging.utils import canonicalize_name

from tests.installed import ROOT, default_install

UNDECLARED = {"espeakng-loader": "GPL-3.0-or-later"}
"""Packages that do not tell their licence, and the one that we found: eSpeak NG's own COPYING. It is an extra."""

LOCK = ROOT / ".ci" / "install.lock"

_GPL = re.compile(r"\bA?GPL|GNU (Affero )?General Public", re.IGNORECASE)
_LESSER_OR_EXCEPTED = re.compile(r"LGPL|Lesser|\bWITH\b", re.IGNORECASE)


def licence_of(name: str, told: Message) -> str:
    """The licence by the package's own metadata: its SPDX expression, else its classifiers, else its short text."""
    if expression := told.get("License-Expression"):
        return str(expression)
    classes = [line.rpartition("::")[2].strip() for line in told.get_all("Classifier") or [] if "License ::" in line]
    text = str(told.get("License") or "").strip()
    short = text if text != "UNKNOWN" and len(text) < 100 else ""
    return " AND ".join(classes) or short or UNDECLARED.get(name, "")


def is_gpl(licence: str) -> bool:
    """Whether any part of an expression is the GNU (Affero) General Public License, without an exception."""
    parts = re.split(r"\bAND\b|\bOR\b|[();]", licence)
    return any(_GPL.search(part) and not _LESSER_OR_EXCEPTED.search(part) for part in parts)


@pytest.fixture(scope="module")
def licences() -> dict[str, str]:
    """Package -> licence, for a default installation."""
    return {name: licence_of(name, metadata(name)) for name in default_install()}  # type: ignore[arg-type]


def test_every_licence_is_known(licences: dict[str, str]) -> None:
    """A package that tells none is looked up and entered above."""
    assert sorted(name for name, licence in licences.items() if not licence) == []


def test_nothing_is_under_the_gpl(licences: dict[str, str]) -> None:
    """Whoever adds such a package to what everybody installs gets its name here."""
    assert {name for name, licence in licences.items() if is_gpl(licence)} == set()


def test_the_lock_that_users_install_from_holds_nothing_under_the_gpl() -> None:
    """Each package of that lock that this machine has, for the lock may hold more than `pyproject.toml` asks for; and
    the eSpeak NG of the extra, whose licence is known to be GPL, would be seen."""
    named = {canonicalize_name(name) for name in re.findall(r"^([\w.-]+)==", LOCK.read_text(encoding="utf-8"), re.M)}
    there = {canonicalize_name(each.metadata["Name"]): each.metadata for each in distributions()}
    assert named >= default_install() - {"hoodside"}
    told = {name: licence_of(name, there[name]) for name in named if name in there}  # type: ignore[arg-type]
    assert sorted(name for name, licence in told.items() if is_gpl(licence)) == []
    assert is_gpl(licence_of("espeakng-loader", metadata("espeakng-loader")))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("licence", "answer"),
    [
        ("GPL-3.0-or-later", True),
        ("MIT AND GPL-2.0-only", True),
        ("AGPL-3.0-only", True),
        ("GNU General Public License v3 or later (GPLv3+)", True),
        ("LGPL-2.1-or-later", False),
        ("GNU Lesser General Public License v3 (LGPLv3)", False),
        ("BSD-3-Clause AND GPL-3.0-or-later WITH GCC-exception-3.1", False),
        ("MIT", False),
    ],
)
def test_the_check_tells_gpl_from_others(licence: str, answer: bool) -> None:
    """In SPDX expressions and in the words of old classifiers."""
    assert is_gpl(licence) is answer


def test_our_own_licence_is_declared_and_there() -> None:
    """By PEP 639: an SPDX expression and the files, each of which stands in the package."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["license"] == "MIT"
    found = {path.name for pattern in project["license-files"] for path in ROOT.glob(pattern)}
    assert found >= {"LICENSE", "NOTICE", "cmudict.txt"}
    assert "the hoodside developers" in (ROOT / "assistant/licences/LICENSE").read_text(encoding="utf-8")


def test_the_notice_names_every_shipped_layer() -> None:
    """Whoever adds layers that learnt from something says from what."""
    told = (ROOT / "assistant/licences/NOTICE").read_text(encoding="utf-8")
    layers = [path.relative_to(ROOT).as_posix() for path in (ROOT / "assistant").rglob("*.npz")]
    assert layers and [name for name in layers if name not in told] == []
