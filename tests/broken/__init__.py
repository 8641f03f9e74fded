"""Broken files: each whole with its expected messages at its top, or told by what it changes in a sound one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import yaml

FOLDER = Path(__file__).parent


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """A file with faults: its name without suffix, its path as messages give it, its text, the messages it must get."""

    name: str
    file: str
    text: str
    told: list[str]


def broken(suffix: str) -> list[Broken]:
    """Every broken file of this kind, ".yaml" or ".faults.yaml", by name."""
    return sorted((*_whole(suffix), *_changed(suffix)), key=lambda each: each.name)


def _whole(suffix: str) -> Iterator[Broken]:
    for path in FOLDER.glob("*.yaml"):
        if _suffix(path) == suffix:
            text = path.read_text(encoding="utf-8")
            lines = text.splitlines()
            end = next((n for n, line in enumerate(lines) if line[:2] != "# "), len(lines))
            told = [line.removeprefix("# ") for line in lines[:end]]
            yield Broken(name=path.name.removesuffix(suffix), file=path.name, text=text, told=told)


def _changed(suffix: str) -> Iterator[Broken]:
    for sound in (FOLDER / "changes").glob("*.yaml"):
        if _suffix(sound) == suffix:
            text = sound.read_text(encoding="utf-8")
            cases = sound.with_name(sound.name.removesuffix(suffix) + ".changes.yaml").read_text(encoding="utf-8")
            for case in yaml.safe_load(cases):
                name = case["name"]
                yield Broken(
                    name=name,
                    file=name + suffix,
                    text=_with(text, case["change"]).replace("{name}", name),
                    told=case["told"],
                )


def _suffix(path: Path) -> str:
    return "." + path.name.partition(".")[2]


def _with(text: str, changes: list[dict[str, str]]) -> str:
    """The text with each `was`, whole lines that must stand in it once, replaced by its `is`."""
    places = []
    for change in changes:
        if f"\n{text}".count(f"\n{change['was']}") != 1:
            raise ValueError(f"does not stand once in the sound file: {change['was']!r}")
        places.append((f"\n{text}".index(f"\n{change['was']}"), change))
    for at, change in sorted(places, key=lambda place: -place[0]):
        text = text[:at] + change["is"] + text[at + len(change["was"]) :]
    return text
