"""A photograph that came from a page: kept first, then named in a fact."""

from __future__ import annotations

from assistant.english import live as texts
from assistant.language.model import KeepPicture
from assistant.ports import Photo, Pictures
from assistant.record.photographs import picture_name
from assistant.session.conversation import Conversation


def keep_picture(pictures: Pictures | None, conversation: Conversation, photo: Photo, at_s: float) -> None:
    """Keep it with the present step; told where it cannot be kept. Raises RecordError."""
    state = conversation.state
    name = picture_name(state.number + 1, photo.picture)
    if pictures is not None and pictures.keep(state.job, name, photo.picture):
        conversation.sense(KeepPicture(name=name), at_s)
    else:
        conversation.remark(texts.PICTURE_IS_LOST, at_s)
