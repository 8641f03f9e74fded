"""The pictures of a job, as SVG that stands in HTML and PDF alike."""

from assistant.record.model import JobRecord
from assistant.record.pictures.canvas import Picture
from assistant.record.pictures.measured import battery, bursts, compression
from assistant.record.pictures.over_time import odds, timeline
from assistant.record.pictures.starter_sound import starter_sound

__all__ = ["Picture", "draw_pictures"]


def draw_pictures(record: JobRecord, family: str) -> dict[str, Picture]:
    """Name -> picture, as far as the job has something to show. `family`: the font family for words."""
    many = (one for draw in (battery, bursts, starter_sound) for one in draw(record, family))
    single = (draw(record, family) for draw in (compression, odds, timeline))
    return {one.name: one for one in (*many, *single) if one is not None}
