"""What comes with a request, as far as it is not too long."""

from __future__ import annotations

from starlette.requests import Request


async def body_of(request: Request, most: int) -> bytes | None:
    """What was sent; None where it is longer than `most` bytes, of which no more is read."""
    got = bytearray()
    async for part in request.stream():
        got += part
        if len(got) > most:
            return None
    return bytes(got)
