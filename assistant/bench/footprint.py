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
from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.language.grammars import grammar_of_procedure
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening
from assistant.wiring import load_library

Pcm = NDArray[np.int16]
BLOCK = 512
QUIET_S = 20


def footprint(procedure: str, sounds: Sequence[Pcm]) -> dict[str, Any]:
    """Of hearing these sounds among all phrases of a procedure. `ready_s`: from starting the program to listening;
    `rtf`: seconds of computing for a second of sound; `cpu_ms`, `took_ms`: medians an utterance; `silence_cpu`: share
    of a core while it hears a quiet room; `peak_memory_mb`: of the whole process."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.npz"
        np.savez(path, *sounds)
        began = time.time()
        command = [sys.executable, "-m", "assistant.bench.footprint", procedure, str(path), repr(began)]
        answer = subprocess.run(command, check=True, capture_output=True, text=True)
    found: dict[str, Any] = json.loads(answer.stdout)
    return found


def measure(procedure: str, path: str, began: float) -> dict[str, Any]:
    """The same, in this process, which began at that time."""
    recogniser = make_embedded()
    recogniser.expect(Listening(grammar=grammar_of_procedure(*load_library(procedure))))
    ready_s = time.time() - began
    with np.load(path) as file:
        sounds = [file[name] for name in file.files]
    recogniser.hear_take(sounds[0])
    cpu_ms, took_ms = [], []
    for sound in sounds:
        before = time.process_time()
        took_ms.append(recogniser.hear_take(sound).took_ms)
        cpu_ms.append((time.process_time() - before) * 1000)
    return {
        "ready_s": round(ready_s, 2),
        "took_ms": round(float(np.median(took_ms)), 1),
        "cpu_ms": round(float(np.median(cpu_ms)), 1),
        "rtf": round(sum(took_ms) / 1000 / (sum(map(len, sounds)) / SAMPLE_RATE_HZ), 4),
        "silence_cpu": round(silence_cpu(recogniser), 4),
        "peak_memory_mb": None if (peak := peak_memory_kb()) is None else round(peak / 1024),
    }


def silence_cpu(recogniser: EmbeddedRecogniser) -> float:
    """Share of a core while it hears a quiet room."""
    random = np.random.default_rng(3)
    room = (random.standard_normal(QUIET_S * SAMPLE_RATE_HZ) * 20).astype(np.int16)
    began = time.process_time()
    for at in range(0, len(room), BLOCK):
        recogniser.accept(AudioBlock(pcm=room[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ))
    return (time.process_time() - began) / QUIET_S


if __name__ == "__main__":
    print(json.dumps(measure(sys.argv[1], sys.argv[2], float(sys.argv[3]))))
