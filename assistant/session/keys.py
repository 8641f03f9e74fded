"""Which keys stand for which commands, for whoever has a hand free and a screen in sight.

A key is the word itself: obeyed where the word would be, refused where it would be, and never the acknowledgement of a
caution, which is spoken only. While we speak or count, any other key is stop: who is in trouble strikes where the hand
falls.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType

from assistant.language.commands import CUTS_SPEECH, Control, phrase_of

KEYS: Mapping[str, Control] = MappingProxyType({each.row.key: each for each in Control if each.row.key})

_NAMES = {" ": "space"}


def may_press(control: Control, *, speaking: bool) -> bool:
    """Whether a key is obeyed: as with words, only stop and pause while the assistant speaks."""
    return not speaking or control in CUTS_SPEECH


def meant_by(control: Control | None, *, speaking: bool, counting: bool) -> Control | None:
    """The command that a key gives now, if any. `control`: what it stands for, None for a key that stands for nothing;
    `counting`: whether a timed action goes on."""
    if control is None:
        return Control.STOP if speaking or counting else None
    return control if may_press(control, speaking=speaking) else None


def keys_now(can_say: Collection[str], *, speaking: bool) -> tuple[tuple[str, str], ...]:
    """The keys that do something now, each by its name with the phrase that it stands for, what leads on first."""
    return tuple(
        (_NAMES.get(key, key), phrase_of(control))
        for key, control in sorted(KEYS.items(), key=lambda pair: pair[1] in CUTS_SPEECH)
        if phrase_of(control) in can_say and may_press(control, speaking=speaking)
    )
