"""What the laptop's page asks about the phone: a code to let one in, whether it is here, and to let it go."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import segno
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from assistant.adapters.screen_web.pairing import Code, Pairing
from assistant.adapters.screen_web.profile import PROFILE_PATH


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """Where the phone comes in, and by which fingerprint it knows us. `vouches_fingerprint`: of what it may install.
    `fresh`: whether these are new ones."""

    address: str
    fingerprint: str
    vouches_fingerprint: str
    fresh: bool


class LaptopRoutes:
    """Answers the laptop's page."""

    def __init__(self, pairing: Pairing, door: Door, here: Callable[[], bool], let_go: Callable[[], None]) -> None:
        """`here`: whether the phone listens; `let_go`: takes its token away."""
        self._pairing = pairing
        self._door = door
        self._here = here
        self._let_go = let_go
        self._profile = _drawn(f"{door.address.rstrip('/')}{PROFILE_PATH}")

    async def state(self, request: Request) -> Response:
        """The door, the phone, and the code that may be used now."""
        return JSONResponse(self._told(self._pairing.code))

    async def code(self, request: Request) -> Response:
        """A fresh code."""
        return JSONResponse(self._told(self._pairing.new_code()))

    async def away(self, request: Request) -> Response:
        """The phone is let go."""
        self._let_go()
        return JSONResponse(self._told(self._pairing.code))

    def _told(self, code: Code | None) -> dict[str, object]:
        door = self._door
        shown = None
        if code is not None:
            # The code stands behind a `#`, which no browser sends.
            qr = _drawn(f"{door.address}pair#{code.text}")
            shown = {"text": code.text, "left_s": round(code.left_s), "qr": qr}
        return {
            "address": door.address,
            "fingerprint": door.fingerprint,
            "vouches_fingerprint": door.vouches_fingerprint,
            "profile": self._profile,
            "fresh": door.fresh,
            "paired": self._pairing.paired,
            "here": self._here(),
            "code": shown,
        }


def _drawn(text: str) -> dict[str, object]:
    """The text as squares to be scanned: side and path of a picture."""
    qr = segno.make(text, micro=False, error="m")
    path = "".join(f"M{x} {y}h1v1h-1z" for y, line in enumerate(qr.matrix) for x, dark in enumerate(line) if dark)
    return {"side": len(qr.matrix), "path": path}
