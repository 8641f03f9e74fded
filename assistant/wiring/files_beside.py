"""Where sound clips and photographs are kept: files in the data folder, beside the record."""

from __future__ import annotations

from pathlib import Path

from assistant.ports import Clips, Pictures
from assistant.wiring.folders import data_folder


def open_clips(data: Path | None) -> Clips:
    """For the sound of what is said. Raises RecordError where there can be no folder."""
    from assistant.adapters.clips_wav import WavClips  # loaded only where something is kept

    return WavClips(data_folder(data))


def open_pictures(data: Path | None) -> Pictures:
    """For photographs. Raises RecordError where there can be no folder."""
    from assistant.adapters.clips_wav import PictureFiles  # as above

    return PictureFiles(data_folder(data))
