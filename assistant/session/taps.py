"""Words given by hand on a page: the same commands as spoken ones, under the same rules.

While we speak only stop and pause are taken, so nobody taps a caution away that was not spoken yet; a tap that was
meant for an earlier question answers no later one, so a knuckle that falls twice passes nothing unseen.
"""

from __future__ import annotations

from assistant.english import live as texts
from assistant.language.attention import to_say
from assistant.language.commands import CUTS_SPEECH, control_of
from assistant.language.model import BY_KEY, TYPED, Heard
from assistant.ports import News, Photo, Pictures, Tap, Taps, Voice
from assistant.session.conversation import Conversation
from assistant.session.pictures import keep_picture


def take_taps(
    taps: Taps, conversation: Conversation, voice: Voice, now_s: float, pictures: Pictures | None = None
) -> bool:
    """Obey what came from pages since the last time, or tell the page why not. Returns whether anything was obeyed.

    `voice`: ours, while it speaks hardly anything is taken. `pictures`: keeps photographs. Raises RecordError.
    """
    obeyed = False
    for tap in taps.tapped():
        if conversation.ended:
            return obeyed
        if isinstance(tap, News):
            conversation.remark(tap.text, now_s)
            continue
        if isinstance(tap, Photo):
            keep_picture(pictures, conversation, tap, now_s)
            obeyed = True
            continue
        why = refused(tap, conversation.showing.asked, speaking=voice.speaking)
        if why:
            taps.refuse(why)
            continue
        words = to_say((tap.words,), conversation.expected)[0] if tap.typed else tap.words
        conversation.hear(Heard(words=words, confidence=1.0, engine=TYPED if tap.typed else BY_KEY), now_s)
        obeyed = True
    return obeyed


def refused(tap: Tap, asked: int, *, speaking: bool) -> str:
    """Why a tap does nothing now; empty where it is obeyed. Who stops is in trouble, whatever the page showed."""
    if not tap.typed and control_of(tap.words) in CUTS_SPEECH:
        return ""
    if tap.asked != asked:
        return texts.TAPPED_TOO_LATE
    return texts.TAPPED_OVER_US if speaking else ""
