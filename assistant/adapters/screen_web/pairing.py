"""Who the phone is: a code that one phone may use once within two minutes, and the token that it then carries."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

CODE_S = 120.0
MOST_WRONG = 5
"""Wrong guesses at one code; then it is void. Of 31**8 codes that finds one in 170,000 million."""

MOST_TRIES, TRIES_S = 10, 60.0
"""Tries in a minute, whoever makes them."""

_SIGNS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"[:31]
"""No sign that is easily taken for another: neither 0 nor O, 1 nor I. 31 of them."""

_LENGTH = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Code:
    """A code as it is shown. `left_s`: how long it may still be used."""

    text: str
    left_s: float


class Pairing:
    """Codes and the one phone that is let in. May be asked from any thread."""

    def __init__(self, now_s: Callable[[], float] = time.monotonic) -> None:
        self._now_s = now_s
        self._lock = threading.Lock()
        self._code = ""
        self._until_s = 0.0
        self._wrong = 0
        self._tries: deque[float] = deque()
        self._phone = b""  # of the token of the phone that is let in; empty for none

    def new_code(self) -> Code:
        """A fresh code; the one before is void."""
        with self._lock:
            self._code = "".join(secrets.choice(_SIGNS) for _ in range(_LENGTH))
            self._until_s = self._now_s() + CODE_S
            self._wrong = 0
            return self._shown()

    @property
    def code(self) -> Code | None:
        """The code that may be used now."""
        with self._lock:
            return self._shown() if self._usable() else None

    @property
    def paired(self) -> bool:
        """Whether a phone is let in."""
        return self._phone != b""

    def pair(self, given: str) -> str | None:
        """The token for who gives the right code in time; None for everybody else. The phone before is let go."""
        with self._lock:
            now_s = self._now_s()
            while self._tries and now_s - self._tries[0] > TRIES_S:
                self._tries.popleft()
            if len(self._tries) >= MOST_TRIES:
                return None
            self._tries.append(now_s)
            if not self._usable():
                return None
            plain = "".join(sign for sign in given.upper() if sign.isalnum())
            if not hmac.compare_digest(plain.encode(), self._code.encode()):
                self._wrong += 1
                return None
            self._code = ""
            token = secrets.token_urlsafe(32)
            self._phone = _digest(token)
            return token

    def knows(self, token: str) -> bool:
        """Whether it is the token of the phone that is let in."""
        return self.paired and hmac.compare_digest(_digest(token), self._phone)

    def remove(self) -> bool:
        """Let the phone go: its token opens nothing any more. Returns whether there was one."""
        with self._lock:
            there, self._phone = self.paired, b""
            return there

    def _usable(self) -> bool:
        return bool(self._code) and self._now_s() < self._until_s and self._wrong < MOST_WRONG

    def _shown(self) -> Code:
        half = _LENGTH // 2
        return Code(text=f"{self._code[:half]}-{self._code[half:]}", left_s=max(0.0, self._until_s - self._now_s()))


def _digest(token: str) -> bytes:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).digest()
