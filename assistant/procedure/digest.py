"""The digest by which a job names the texts that led it."""

from __future__ import annotations

import hashlib


def digest_of(text: str) -> str:
    """Hexadecimal SHA-256 of a text in UTF-8."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
