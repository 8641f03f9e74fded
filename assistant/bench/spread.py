"""Work of a bench spread over processes: one a core, one thread in each. What comes out does not depend on how many."""

from __future__ import annotations

import os
from collections.abc import Callable, Hashable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import lru_cache, partial
from multiprocessing import get_context
from typing import TypeVar

SHARD = 24
"""Things said in one piece of work: six voices in four noises, each once."""

THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS")

Tools = TypeVar("Tools")
Key = TypeVar("Key", bound=Hashable)
Task = TypeVar("Task")
Found = TypeVar("Found")


def spread(
    work: Callable[[Tools, Task], Found],
    tasks: Sequence[Task],
    *,
    make: Callable[[Key], Tools],
    key: Key,
    jobs: int,
) -> Iterator[Found]:
    """What `work` finds in each task, in their order. Each process makes its tools by `make(key)`, once.

    `work`, `make`, `key` and the tasks go to other processes: functions of a module, and plain data.
    """
    done = partial(_with_tools, work, make, key)
    if jobs <= 1 or len(tasks) <= 1:
        yield from map(done, tasks)
        return
    for name in THREADS:  # read by the libraries when a new process loads them
        os.environ[name] = "1"
    with ProcessPoolExecutor(min(jobs, len(tasks)), mp_context=get_context("spawn")) as pool:
        yield from pool.map(done, tasks)


def shards(count: int) -> list[range]:
    """The numbers of so many things said, shard by shard."""
    return [range(at, min(at + SHARD, count)) for at in range(0, count, SHARD)]


@lru_cache(maxsize=1)
def kept(make: Callable[[Key], Tools], key: Key) -> Tools:
    """The tools, made once in a process."""
    return make(key)


def _with_tools(work: Callable[[Tools, Task], Found], make: Callable[[Key], Tools], key: Key, task: Task) -> Found:
    return work(kept(make, key), task)
