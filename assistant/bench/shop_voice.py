"""Whether the voice loop notices that another process sends to the shop's server.

Measured by phrases said in a quiet room, from the last sample of speech to the first of the answer, the turn's fact
kept before.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from itertools import count
from pathlib import Path

import numpy as np
from sqlalchemy import text

from assistant.adapters.journal_postgres.link import engine_for
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.postgres_server import PostgresServer
from assistant.adapters.synthesiser_hibari import HibariSynthesiser
from assistant.bench.latency import in_a_room, latency_ms, phrases_said
from assistant.bench.record_store import short_job, utc
from assistant.bench.setting import Wish, make_setting
from assistant.bench.shop_made import join_bench, keepers_url, p95, record_real
from assistant.facts import Fact
from assistant.wiring.shop_server import outbox_state

PHRASES, ROUNDS, ROUND_JOBS = 10, 3, 25


def measure_voice_loop(server: PostgresServer, folder: Path, templates: list[tuple[Fact, ...]]) -> dict[str, float]:
    """The same phrases in blocks in turn: alone, and while another process sends jobs. Alone once more at
    the end, so that neither is always the first."""
    join_bench(server, folder)
    setting = make_setting(Wish(procedure="no-start", count=PHRASES, hours=0.0, seed=2))
    random, synthesiser = np.random.default_rng(2), HibariSynthesiser()
    said = [
        (ask, words, in_a_room(setting.speech(speaker, words), random))
        for ask, words, speaker, reading in phrases_said(setting, random)
        if not reading
    ]
    journal, facts = SqliteJournal(folder, utc), (one for number in count() for one in short_job(3 * 10**9 + number))

    def answer(which: int) -> float | None:
        """Milliseconds to the first sound of the answer, the turn's fact kept before."""
        ask, words, room = said[which]
        heard_ms = latency_ms(setting, synthesiser, ask, words, room)
        began = time.perf_counter()
        journal.append([next(facts)])
        return None if heard_ms is None else heard_ms + (time.perf_counter() - began) * 1000

    for which in range(3):
        answer(which)  # what is loaded at first is not the loop's
    alone: dict[int, list[float]] = {which: [] for which in range(len(said))}
    beside: dict[int, list[float]] = {which: [] for which in range(len(said))}
    command = [sys.executable, "-m", "assistant", "shop", "drain", "--beside", "--data", str(folder)]
    for number in range(ROUNDS):
        answer_all(answer, alone)
        record_real(folder, templates, ROUND_JOBS, 4 * 10**9 + number * 1_000)
        sent, kept = outbox_state(folder).sent, _kept(server)
        process = subprocess.Popen(command, stdin=subprocess.PIPE, stderr=subprocess.DEVNULL)
        while _kept(server) == kept:
            time.sleep(0.02)
        answer_all(answer, beside, partial(_still_sends, folder, sent))
        process.kill()
        process.wait()
    answer_all(answer, alone)
    journal.close()
    both = [which for which in alone if alone[which] and beside[which]]
    first = [one for which in both for one in alone[which]]
    second = [one for which in both for one in beside[which]]
    return {
        "voice_alone": len(first),
        "voice_beside": len(second),
        "voice_alone_ms": round(statistics.median(first)),
        "voice_beside_drain_ms": round(statistics.median(second)),
        "voice_ratio": round(statistics.median(second) / statistics.median(first), 3),
        "voice_ratio_a_phrase": round(
            statistics.median(statistics.median(beside[which]) / statistics.median(alone[which]) for which in both), 3
        ),
        "voice_p95_ratio": round(p95(second) / p95(first), 3),
    }


def _kept(server: PostgresServer) -> int:
    """How many facts the server has."""
    with engine_for(keepers_url(server)).connect() as connection:
        return int(connection.execute(text("SELECT coalesce(sum(number), 0) FROM shop.jobs")).scalar_one())


def _still_sends(folder: Path, sent: int) -> bool:
    """Whether the drain has not yet passed what waited: it does so once all of it was acknowledged."""
    return outbox_state(folder).sent == sent


def answer_all(
    answer: Callable[[int], float | None], times: dict[int, list[float]], goes_on: Callable[[], bool] = lambda: True
) -> None:
    """Every phrase once; what was answered when it no longer went on is left out."""
    for which, of_phrase in times.items():
        took_ms = answer(which)
        if not goes_on():
            return
        if took_ms is not None:
            of_phrase.append(took_ms)
