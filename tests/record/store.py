"""An invented store with two jobs, signed with a made-up key, and ways to change it behind the program's back."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from assistant.adapters.journal_memory import MemoryJournal
from assistant.facts import FactKind
from assistant.procedure.digest import digest_of
from assistant.record.log import Leaf, LeafKind, Logged, LogHead, Moment
from assistant.record.merkle import grown, leaf_hash, root_of
from tests.ports.journal_suite import fact

JOB, OTHER = "blue-van", "red-truck"
TEXT, MODEL = "the words that led the job", "what may be at fault"


class Seals:
    """A signer that needs no mathematics: whoever knows the key can check, which is enough here."""

    def __init__(self, key: bytes = b"k" * 32) -> None:
        """`key`: both halves at once."""
        self.key = key

    def sign(self, message: bytes) -> bytes:
        """64 bytes."""
        return hashlib.sha512(self.key + message).digest()

    def since(self, key: bytes) -> tuple[tuple[bytes, bytes], ...]:
        """No later key."""
        return ()


def signed(key: bytes, message: bytes, signature: bytes) -> bool:
    """Whether that key signed the message."""
    return Seals(key).sign(message) == signature


class Shop:
    """The store; `now_s`: seconds since it began by its clock, `ran_s`: by the one that nobody can set."""

    def __init__(self, signer: Seals | None = None) -> None:
        self.now_s = self.ran_s = 0.0
        self.journal = MemoryJournal(
            self._utc, signer=signer, moment=lambda: Moment(boot="b", ms=int(1e3 * self.ran_s))
        )
        self.journal.keep_texts({digest_of(TEXT): TEXT, digest_of(MODEL): MODEL})

    def _utc(self) -> str:
        return (datetime(2031, 5, 1, 9, tzinfo=UTC) + timedelta(seconds=self.now_s)).isoformat()

    def keep(self, number: int, job: str = JOB, *, after_s: float = 0.0, **more: Any) -> None:
        """One more fact, when both clocks went on by so much."""
        self.now_s += after_s
        self.ran_s += after_s
        self.journal.append([fact(number, job=job, key=job[:3], **more)])


def shop(signer: Seals | None = None) -> Shop:
    """Two jobs that took turns; the first names what led it, a plate and a note."""
    one = Shop(signer)
    led = {"texts": {"no-start": digest_of(TEXT)}, "model": digest_of(MODEL)}
    one.keep(1, kind=FactKind.JOB_STARTED, data=led)
    one.keep(1, OTHER)
    one.keep(2, kind=FactKind.VEHICLE_NOTED, data={"fact": "plate", "value": "HS 42 DEMO"})
    one.keep(3, kind=FactKind.NOTE_TAKEN, data={"words": "ring the owner"})
    one.keep(2, OTHER)
    one.keep(4)
    return one


class Changed:
    """An archive that answers some questions otherwise than the store that it stands for."""

    def __init__(self, archive: MemoryJournal, **answers: Any) -> None:
        """`answers`: the answer to the question of that name, whatever is asked."""
        self._archive, self._answers = archive, answers

    def __getattr__(self, name: str) -> Any:
        if name not in self._answers:
            return getattr(self._archive, name)
        answer = self._answers[name]
        return answer if callable(answer) else lambda *_: answer


class LogOf:
    """A log of these leaves alone, under a head that the signer signed."""

    def __init__(self, leaves: Sequence[Leaf], signer: Seals) -> None:
        """`signer`: whose key stands at the end."""
        self._rows: list[tuple[Leaf, tuple[bytes, ...]]] = []
        peaks: tuple[bytes, ...] = ()
        for size, leaf in enumerate(leaves):
            peaks, completed = grown(peaks, size, leaf_hash(leaf.text().encode()))
            self._rows.append((leaf, completed))
        head = LogHead(store="ab", size=len(leaves), root=root_of(peaks), key=signer.key)
        self._head = replace(head, signature=signer.sign(head.message()))

    def log_head(self) -> LogHead:
        """As of an archive."""
        return self._head

    def key_leaves(self) -> tuple[Logged, ...]:
        """As of an archive."""
        return tuple(
            Logged(place=place, kind=leaf.kind.value, job=None, number=0, text=leaf.text(), hash=nodes[0])
            for place, (leaf, nodes) in enumerate(self._rows)
            if leaf.kind is LeafKind.KEY
        )

    def node(self, level: int, index: int) -> bytes:
        """As of an archive."""
        return self._rows[((index + 1) << level) - 1][1][level]
