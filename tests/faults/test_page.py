"""The browser goes away: the session does not notice, and whoever comes back sees where the job stands."""

from __future__ import annotations

import json
import struct
from socket import SO_LINGER, SOL_SOCKET

import pytest

from tests.screen.test_attacks import door as door
from tests.screen.test_attacks import until, view


@pytest.mark.parametrize("how", ["closed", "reset"])
def test_the_browser_goes_and_comes_back(door, row, how: str) -> None:
    """Its line breaks off in the middle of a stream; a new one begins with the present view, and taps work."""
    line = door.open_stream()
    until(line, b"Look here.")
    if how == "reset":
        line.setsockopt(SOL_SOCKET, SO_LINGER, struct.pack("ii", 1, 0))
    line.close()
    for turn in range(2, 30):
        door.web.show(view(turn, words=f"Look here, {turn}."))
    again = door.open_stream()
    until(again, b"Look here, 29.")
    again.close()
    body = json.dumps({"words": "done", "asked": 29}).encode()
    assert door.say(body) == 204
    assert [tap.words for tap in door.web.tapped()] == ["done"]
    row(
        f"browser lost ({how})",
        told="voice as ever; the page shows the present step when it is back",
        within_s=0.0,
        kept="every fact",
        goes_on="by voice and keys; taps again with the new page",
    )
