"""What a default installation consists of, as far as tests must know."""

from __future__ import annotations

import tomllib
from importlib.metadata import requires
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]


def asked_for(*extras: str) -> list[Requirement]:
    """What `pyproject.toml` asks for by default, and for these extras; an extra of our own is not followed."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = [*project["dependencies"], *(line for extra in extras for line in project["optional-dependencies"][extra])]
    return [wanted for wanted in map(Requirement, lines) if wanted.name != project["name"]]


def default_install() -> set[str]:
    """Names of everything that is asked for by default, and of what that asks for; all must be installed."""
    names: set[str] = set()
    wanted = asked_for()
    while wanted:
        one = wanted.pop()
        name = canonicalize_name(one.name)
        if name not in names and (one.marker is None or one.marker.evaluate({"extra": ""})):
            names.add(name)
            wanted += [Requirement(line) for line in requires(name) or []]
    return names
