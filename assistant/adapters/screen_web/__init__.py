"""A page in the browser as a screen, and as a place to tap words: served to this machine alone, by this process.

Where a phone is wished for, a second door is opened, on the address of one network, with TLS and for one phone that was
let in.
"""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.adapters.screen_web.app import Flow as Flow
from assistant.adapters.screen_web.app import JobLine as JobLine
from assistant.adapters.screen_web.app import Records as Records
from assistant.adapters.screen_web.app import Site
from assistant.adapters.screen_web.certificate import Certificate as Certificate
from assistant.adapters.screen_web.certificate import own_certificate as own_certificate
from assistant.adapters.screen_web.feed import Feed
from assistant.adapters.screen_web.gate import Gate
from assistant.adapters.screen_web.guard import Guard
from assistant.adapters.screen_web.laptop_routes import Door as PhoneDoor
from assistant.adapters.screen_web.laptop_routes import LaptopRoutes
from assistant.adapters.screen_web.pairing import Pairing
from assistant.adapters.screen_web.phone_line import PhoneLine as PhoneLine
from assistant.adapters.screen_web.phone_routes import PhoneRoutes
from assistant.adapters.screen_web.profile import profile_of
from assistant.adapters.screen_web.serving import LOOPBACK, Door, Lines, Serving, bind, bind_phone
from assistant.adapters.screen_web.sound import PhoneMicrophone as PhoneMicrophone
from assistant.adapters.screen_web.sound import PhoneSpeaker as PhoneSpeaker
from assistant.language.model import Control
from assistant.ports import News, Photo, Tap, View

HOLD_STILL = "Hold still."
NO_PAGE = "No page is open that could take a picture."
PHONE_REMOVED = "The phone is removed."
PHONE_HERE = "The phone is here."


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneWish:
    """A phone that is wished for. `address`: of this machine in the network that the phone is in. `line`: its sound,
    None where it is a screen alone. `gone`: what to say when it goes."""

    address: str
    certificate: Certificate
    line: PhoneLine | None
    gone: str = "The phone is gone."
    port: int | None = None


def _routes(phone: PhoneWish | None, pairing: Pairing, lines: Lines) -> PhoneRoutes | None:
    if phone is None:
        return None
    return PhoneRoutes(pairing, phone.line, lines.cut, profile_of(phone.certificate.vouches, phone.address))


class WebScreen:
    """Shows each view on every page that is open, and gives what is tapped there."""

    def __init__(
        self, records: Records, *, port: int | None = None, leads: bool = True, phone: PhoneWish | None = None
    ) -> None:
        """`port`: None for the usual one, or any. `leads`: whether a job is led, and not only records looked at.
        `phone`: None where none may come.

        Raises SetupError when the port is taken.
        """
        self._feed = Feed()
        self._lines = lines = Lines()
        self._phone = phone
        self._pairing = Pairing()
        apart = Lines()
        self._routes = _routes(phone, self._pairing, apart)
        self._was_here = False
        bound = bind(port)
        number = bound.getsockname()[1]
        token = secrets.token_urlsafe(24)
        feed = self._feed if leads else None
        doors: list[Door] = []
        laptop = None
        self.phone_address = ""
        if phone is not None and self._routes is not None:
            try:
                outside = bind_phone(phone.address, phone.port)
            except BaseException:
                bound.close()
                raise
            host = f"{phone.address}:{outside.getsockname()[1]}"
            self.phone_address = f"https://{host}/"
            site = Site(feed=feed, records=records, token=token, cut=apart.cut, phone=self._routes)
            guarded = Guard(Gate(site.app(), self._pairing.knows), (host,), on_phone=True)
            tls = (phone.certificate.file, phone.certificate.key)
            doors.append(Door(app=guarded, bound=outside, lines=apart, tls=tls))
            told = PhoneDoor(
                address=self.phone_address,
                fingerprint=phone.certificate.fingerprint,
                vouches_fingerprint=phone.certificate.vouches_fingerprint,
                fresh=phone.certificate.fresh,
            )
            laptop = LaptopRoutes(self._pairing, told, lambda: self._here, self._let_go)
        site = Site(feed=feed, records=records, token=token, cut=lines.cut, laptop=laptop)
        hosts = (f"{LOOPBACK}:{number}", f"localhost:{number}")
        doors.append(Door(app=Guard(site.app(), hosts), bound=bound, lines=lines))
        self._serving = Serving(doors, self._feed.attach)
        self.address = f"http://{LOOPBACK}:{number}/"

    def show(self, view: View) -> None:
        """Draw the view on every page, soon."""
        self._feed.show(view)

    def tapped(self) -> Sequence[Tap | Photo | News]:
        """What came since the last call."""
        if self._here != self._was_here:
            self._was_here = not self._was_here
            gone = self._phone.gone if self._phone and self._pairing.paired else PHONE_REMOVED
            self._feed.tell(PHONE_HERE if self._was_here else gone)
        return self._feed.tapped()

    def refuse(self, why: str) -> None:
        """Tell the pages why the last tap did nothing."""
        self._feed.refuse(why)

    def controls(self) -> frozenset[Control]:
        """The commands that it obeys now."""
        return frozenset({Control.PICTURE, *((Control.PHONE_AWAY,) if self._pairing.paired else ())})

    def obey(self, control: Control) -> str:
        """Begin to do it; what to say."""
        if control is Control.PHONE_AWAY:
            self._let_go()
            self._was_here = False  # it is said here
            return PHONE_REMOVED
        return HOLD_STILL if self._feed.shoot() else NO_PAGE

    def wait(self) -> None:
        """Until interrupted."""
        self._serving.wait()

    def close(self) -> None:
        """Stop serving; may be called twice."""
        self._serving.close()

    @property
    def _here(self) -> bool:
        line = self._phone.line if self._phone else None
        return line is not None and line.here

    def _let_go(self) -> None:
        if self._routes is not None:
            self._routes.let_go()
