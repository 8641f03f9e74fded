"""A phone that may come: its microphone beside this machine's, its speaker beside this machine's, and its door."""

from __future__ import annotations

import ipaddress
import socket
from typing import TYPE_CHECKING

from platformdirs import user_config_path

from assistant.errors import SetupError, UsageError
from assistant.ports import Microphone, Speaker
from assistant.wiring.wishes import Wishes

if TYPE_CHECKING:
    from assistant.adapters.screen_web import PhoneLine, PhoneWish

ALONE_HZ = 24_000
"""Of our speech where this machine has no speaker of its own: what our voice is made at."""

_ELSEWHERE = ("192.0.2.1", 9)
"""An address that nobody has (RFC 5737): asked only by which of ours it would be reached; nothing is sent."""


class Phone:
    """What a session with a phone is made of. Each part is asked for once, the speaker first."""

    def __init__(self, wishes: Wishes) -> None:
        self._wishes = wishes
        self._own: Speaker | None = None
        self._line: PhoneLine | None = None
        self._listens_here = False

    def speaker(self) -> Speaker | None:
        """Where speech goes: on the phone while it is here, unless the wish is another. None for silence."""
        from assistant.adapters.screen_web import PhoneLine, PhoneSpeaker
        from assistant.adapters.speaker_either import EitherSpeaker
        from assistant.wiring.live import SILENT, open_speaker

        wishes = self._wishes
        say = wishes.say or (SILENT if wishes.hear == "typed" else "phone")
        if say in ("speaker", "both") or (say == "phone" and wishes.hear != "phone"):
            try:
                self._own = open_speaker("speaker", wishes.speaker)
            except SetupError:
                if say != "phone":
                    raise
        if wishes.hear == "typed":
            return self._own
        self._line = PhoneLine(rate_hz=self._own.rate_hz if self._own else ALONE_HZ)
        if say in ("phone", "both"):
            return EitherSpeaker(PhoneSpeaker(self._line), self._own, both=say == "both")
        return self._own or open_speaker(say)

    def microphone(self, hear: str, device: int | str | None) -> Microphone:
        """What listens: the phone while it is here, else this machine, where it can."""
        from assistant.adapters.microphone_either import EitherMicrophone
        from assistant.adapters.portaudio import SounddeviceMicrophone
        from assistant.adapters.screen_web import PhoneMicrophone

        own: Microphone | None = None
        if hear == "microphone":
            try:
                own = SounddeviceMicrophone(device=device, played=self._own.played if self._own else None)
            except SetupError:
                if device is not None:
                    raise
        if self._line is None:
            raise RuntimeError("the speaker was not asked for first")
        self._listens_here = own is not None
        return EitherMicrophone(PhoneMicrophone(self._line), own)

    def wish(self) -> PhoneWish:
        """What the page needs to know of it. Raises SetupError without a network or a certificate, UsageError."""
        from assistant.adapters.screen_web import PhoneWish, own_certificate

        address = own_address(self._wishes.phone_address)
        folder = user_config_path("hoodside", appauthor=False)
        here = " and ".join(
            word for word, so in (("listen", self._listens_here), ("speak", self._own is not None)) if so
        )
        return PhoneWish(
            address=address,
            port=self._wishes.phone_port,
            certificate=own_certificate(folder, address),
            line=self._line,
            gone=f"The phone is gone. I {here} here." if here else "The phone is gone. I wait for it.",
        )


def own_address(given: str | None) -> str:
    """This machine's address in the network that it would ask through; `given` where that is said.

    Raises SetupError where there is no network, UsageError for what is no address.
    """
    if given is not None:
        try:
            return str(ipaddress.IPv4Address(given))
        except ValueError as error:
            raise UsageError(f"--phone-address takes an address such as 192.168.1.20, not '{given}'.") from error
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
            asking.connect(_ELSEWHERE)
            return str(asking.getsockname()[0])
    except OSError as error:
        raise SetupError(
            "This machine is in no network that a phone could be in; join one, or name its address: --phone-address."
        ) from error
