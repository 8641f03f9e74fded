"""What the shop says of itself once, beside its records."""

from __future__ import annotations

from pathlib import Path

from platformdirs import user_data_path

from assistant.adapters.shop_settings import ShopSettings, keep_settings, read_settings
from assistant.wiring.folders import data_folder

__all__ = ["ShopSettings", "keep_shop_settings", "shop_settings"]


def shop_settings(data: Path | None = None) -> ShopSettings:
    """The shop's settings; the plain ones where none were made. Raises SetupError for a damaged file."""
    return read_settings(data or user_data_path("hoodside", appauthor=False))


def keep_shop_settings(settings: ShopSettings, data: Path | None = None) -> None:
    """Keep the settings beside the records. Raises SetupError or RecordError."""
    keep_settings(data_folder(data), settings)
