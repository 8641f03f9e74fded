"""What hearing costs a machine: started anew in a process of its own, so that nothing else is counted with it."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.process_memory import peak_memory_kb
from assistant.adapters.recogniser_embedded import make_embedded
from assistant.bench.noises import NOISES
from assistant.bench.stream import Stream, Stretch
from assistant.language.grammars import grammar_of_procedure
from assistant.ports import SAMPLE_RATE_HZ, Listening
from assistant.wiring import load_library

ROOM_S = 20
LOUD = 1000.0
"""Root mean square of the loud room, of 32 768."""


def footprint(procedure: str, stretches: Sequence[Stretch]) -> dict[str, Any]:
    """Of hearing what is said in these stretches among all phrases of a procedure. `ready_s`: from starting the program
    to listening; `rtf`: seconds of computing, the noise around with it, for a second of speech; `cpu_ms`: of an
    utterance and `took_ms`: after its end, medians; `silence_cpu`, `noise_cpu`: share of a core while it hears a quiet
    room, and a loud one; `peak_memory_mb`: of the whole process."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.npz"
        spans = np.array([(each.begins, each.ends) for each in stretches])
        np.savez(path, spans, *[each.pcm for each in stretches])
        began = time.time()
        command = [sys.executable, "-m", "assistant.bench.footprint", procedure, str(path), repr(began)]
        answer = subprocess.run(command, check=True, capture_output=True, text=True)
    found: dict[str, Any] = json.loads(answer.stdout)
    return found


def measure(procedure: str, path: str, began: float) -> dict[str, Any]:
    """The same, in this process, which began at that time."""
    recogniser = make_embedded()
    listening = Listening(grammar=grammar_of_procedure(*load_library(procedure)))
    recogniser.expect(listening)
    ready_s = time.time() - began
    with np.load(path) as file:
        spans, *sounds = [file[name] for name in file.files]
    stretches = [
        Stretch(pcm=pcm, begins=int(begins), ends=int(ends)) for pcm, (begins, ends) in zip(sounds, spans, strict=True)
    ]
    stream = Stream(recogniser)
    stream.heard(stretches[0], listening)
    cpu_ms, took_ms, took_s = [], [], 0.0
    for stretch in stretches:
        before, began = time.process_time(), time.perf_counter()
        took_ms.append(stream.heard(stretch, listening).took_ms)
        took_s += time.perf_counter() - began
        cpu_ms.append((time.process_time() - before) * 1000)
    said_s = sum(each.ends - each.begins for each in stretches) / SAMPLE_RATE_HZ
    random = np.random.default_rng(3)
    quiet = random.standard_normal(ROOM_S * SAMPLE_RATE_HZ) * 20
    loud = np.concatenate([make(ROOM_S * SAMPLE_RATE_HZ, random) for make in NOISES.values()])
    loud *= LOUD / np.sqrt((loud**2).mean())
    return {
        "ready_s": round(ready_s, 2),
        "took_ms": round(float(np.median(took_ms)), 1),
        "cpu_ms": round(float(np.median(cpu_ms)), 1),
        "rtf": round(took_s / said_s, 4),
        "silence_cpu": round(share_of_a_core(stream, quiet, listening), 4),
        "noise_cpu": round(share_of_a_core(stream, loud, listening), 4),
        "peak_memory_mb": None if (peak := peak_memory_kb()) is None else round(peak / 1024),
    }


def share_of_a_core(stream: Stream, room: NDArray[np.float64], listening: Listening) -> float:
    """Seconds of computing for each second of that room."""
    pcm = np.clip(room, -32_768, 32_767).astype(np.int16)
    began = time.process_time()
    for _ in stream.all_heard(pcm, listening):
        pass
    return (time.process_time() - began) / (len(pcm) / SAMPLE_RATE_HZ)


if __name__ == "__main__":
    print(json.dumps(measure(sys.argv[1], sys.argv[2], float(sys.argv[3]))))
