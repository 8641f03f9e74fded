"""README.md as the page of the package: without pictures and links into the sources, which have no public address."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from hatchling.metadata.plugin.interface import MetadataHookInterface

PICTURE = re.compile(r"!\[([^\]]*)\]\((?!https://)[^)]*\)")
"""A picture by a path inside the sources."""

LINK = re.compile(r"(?<!!)\[([^\]]*)\]\((?!https://)[^)]*\)")
"""A link to a file of the sources."""


def without_pictures(text: str) -> str:
    """The text with what each picture shows in its place, in words, and files of the sources by their names alone."""
    return LINK.sub(r"\1", PICTURE.sub(r"(A picture in the sources: \1.)", text))


class PackageReadme(MetadataHookInterface):
    """Called by the build, which knows it by `pyproject.toml`."""

    def update(self, metadata: dict[str, Any]) -> None:
        """Put the page into the metadata."""
        text = (Path(self.root) / "README.md").read_text(encoding="utf-8")
        metadata["readme"] = {"content-type": "text/markdown", "text": without_pictures(text)}
