"""What only the phone asks: to be let in, to send what it hears, to get what we say."""

from __future__ import annotations

import asyncio
import base64
import json
import struct
from collections.abc import Awaitable, Callable
from contextlib import suppress
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.types import Receive, Scope, Send
from starlette.websockets import WebSocket, WebSocketDisconnect

from assistant.adapters.screen_web.bodies import body_of
from assistant.adapters.screen_web.gate import FORGET_COOKIE, set_cookie
from assistant.adapters.screen_web.pairing import Pairing
from assistant.adapters.screen_web.phone_line import PhoneLine, Speech
from assistant.adapters.screen_web.profile import PROFILE_TYPE

BEAT_S = 0.25
"""How often the phone is told what came; one that hears nothing for a second knows that the line is down."""

STALLED_S = 5.0
MOST_PAIR_BYTES = 200
MOST_CHUNK_BYTES = 65_536
"""Of what is sent at once where no socket can be opened: 0.6 s at 48 kHz."""

_Text = Callable[[dict[str, Any]], Awaitable[None]]
_Pcm = Callable[[Speech], Awaitable[None]]
_LENGTH = struct.Struct("<I")


class PhoneRoutes:
    """Answers the phone. One line at a time: a newer one takes the place of the one before."""

    def __init__(
        self, pairing: Pairing, line: PhoneLine | None, cut: Callable[[tuple[str, int]], None], profile: bytes
    ) -> None:
        """`line`: None where the phone is a screen alone. `cut`: lets go of whoever does not read. `profile`: what a
        phone may install."""
        self._pairing = pairing
        self._profile = profile
        self._line = line
        self._cut = cut
        self._bell = asyncio.Event()
        self._newest = 0
        self._loop: asyncio.AbstractEventLoop | None = None
        if line is not None:
            line.on_speech(self._wake)

    @property
    def has_sound(self) -> bool:
        """Whether the phone listens and speaks."""
        return self._line is not None

    async def pair(self, request: Request) -> Response:
        """The code for a token."""
        body = await body_of(request, MOST_PAIR_BYTES)
        try:
            code = json.loads(body or b"")["code"]
        except (ValueError, KeyError, TypeError, RecursionError):
            code = None
        token = self._pairing.pair(code) if isinstance(code, str) else None
        if token is None:
            return PlainTextResponse("That code is wrong, used or too old.", status_code=403)
        self._newest += 1  # the lines of the phone before
        if self._line is not None:
            self._line.shut()
            self._line.admit()
        self._wake()
        return Response(status_code=204, headers={"set-cookie": set_cookie(token)})

    async def profile(self, request: Request) -> Response:
        """What a phone may install to trust this door for good; of no job, and no secret."""
        return Response(self._profile, media_type=PROFILE_TYPE)

    async def leave(self, request: Request) -> Response:
        """The phone is let go, by its own hand."""
        self.let_go()
        return Response(status_code=204, headers={"set-cookie": FORGET_COOKIE})

    def let_go(self) -> None:
        """The phone is let go: its lines end, its token opens nothing."""
        self._pairing.remove()
        if self._line is not None:
            self._line.shut()
        self._newest += 1
        self._wake()

    async def socket(self, socket: WebSocket) -> None:
        """Sound both ways."""
        if self._line is None:
            await socket.close(4404)
            return
        await socket.accept()

        async def text(told: dict[str, Any]) -> None:
            await socket.send_text(json.dumps(told))

        async def pcm(speech: Speech) -> None:
            await socket.send_bytes(speech.packed())

        mine = self._take_over()
        sender = asyncio.create_task(self._send(mine, text, pcm, lambda: self._hang_up(socket)))
        try:
            while self._newest == mine:
                got = await socket.receive()
                if got["type"] == "websocket.disconnect" or self._newest != mine:
                    return
                if (block := got.get("bytes")) is not None:
                    fine = self._line.take(block)
                else:
                    answer = self._told(got.get("text") or "")
                    fine = answer is not None
                    if answer:
                        await text(answer)
                if not fine:
                    await socket.close(1003)
                    return
        except (WebSocketDisconnect, RuntimeError):
            return
        finally:
            sender.cancel()

    async def chunk(self, request: Request) -> Response:
        """A few blocks and words at once, where no socket can be opened: each part with its length before it, words
        marked by the highest bit."""
        if self._line is None:
            return PlainTextResponse("There is no sound here.", status_code=404)
        body = await body_of(request, MOST_CHUNK_BYTES)
        if body is None:
            return PlainTextResponse("Too long.", status_code=413)
        answer: dict[str, Any] = {}
        at = 0
        while at + _LENGTH.size <= len(body):
            (length,) = _LENGTH.unpack_from(body, at)
            words, length = bool(length & 0x8000_0000), length & 0x7FFF_FFFF
            part = body[at + _LENGTH.size : at + _LENGTH.size + length]
            at += _LENGTH.size + length
            told = self._told(part.decode("utf-8", "replace")) if words else {} if self._line.take(part) else None
            if len(part) != length or told is None:
                return PlainTextResponse("Not understood.", status_code=400)
            answer |= told
        return JSONResponse(answer | {"got": self._line.next, "cuts": self._line.cuts, "here": self._line.here})

    async def stream(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Our speech as events, where no socket can be opened."""
        if self._line is None:
            await PlainTextResponse("There is no sound here.", status_code=404)(scope, receive, send)
            return

        async def event(told: dict[str, Any]) -> None:
            body = b"data: " + json.dumps(told).encode() + b"\n\n"
            await send({"type": "http.response.body", "body": body, "more_body": True})

        async def pcm(speech: Speech) -> None:
            await event({"speech": base64.b64encode(speech.packed()).decode()})

        await send({"type": "http.response.start", "status": 200, "headers": [(b"content-type", b"text/event-stream")]})
        mine = self._take_over()
        sender = asyncio.create_task(self._send(mine, event, pcm, lambda: self._cut(scope["client"])))
        try:
            while (await receive())["type"] != "http.disconnect":
                pass
        finally:
            sender.cancel()

    def _take_over(self) -> int:
        self._loop = asyncio.get_running_loop()
        self._newest += 1
        self._bell.set()
        return self._newest

    def _told(self, text: str) -> dict[str, Any] | None:
        """What the phone says of itself, and the answer; None where it makes no sense."""
        line = self._line
        assert line is not None
        try:
            told = json.loads(text)
            if "off" in told:
                line.off()
                return {}
            numbers = [told[name] for name in ("cuts", "played")]
            if any(type(one) is not int for one in numbers):
                return None
            cuts, played = numbers
            if "stream" not in told:
                line.played(cuts, played)
                return {}
            rate, has, stream = told["rate"], told["has"], told["stream"]
            if type(rate) is not int or type(has) is not int or not isinstance(stream, str):
                return None
            wanted, skips = line.begin(stream, rate, cuts=cuts, played=played, has=has)
        except (ValueError, KeyError, TypeError, RecursionError):
            return None
        return {"next": wanted, "skips": skips, "rate": line.rate_hz, "cuts": line.cuts}

    async def _send(self, mine: int, text: _Text, pcm: _Pcm, hang_up: Callable[[], None]) -> None:
        line = self._line
        assert line is not None
        try:
            while self._newest == mine:
                beat = {"got": line.next, "cuts": line.cuts, "here": line.here}
                await asyncio.wait_for(text(beat), STALLED_S)
                for speech in line.speech():
                    await asyncio.wait_for(pcm(speech), STALLED_S)
                with suppress(TimeoutError):
                    await asyncio.wait_for(self._bell.wait(), BEAT_S)
                self._bell.clear()
            hang_up()
        except (TimeoutError, RuntimeError, WebSocketDisconnect):
            hang_up()

    def _hang_up(self, socket: WebSocket) -> None:
        if socket.client is not None:
            self._cut((socket.client.host, socket.client.port))

    def _wake(self) -> None:
        if self._loop is not None:
            with suppress(RuntimeError):  # the server has ended; the job has not
                self._loop.call_soon_threadsafe(self._bell.set)
