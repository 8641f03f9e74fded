"""Teaches the half of the network that writes the words of the trade, on top of what it knows.

Only thin matrices beside its own learn (`network_torch`); what they add is put into the network's bytes where it is
loaded. The half that listens stands still, so the ears for phones on top of it stay what they are.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.files import find_network, read_token_texts
from assistant.adapters.recogniser_embedded.network import BEGIN, END
from assistant.adapters.recogniser_embedded.taught import Taught, write_taught
from assistant.hearing.tokens import Vocabulary
from assistant.language.understand import plain_words
from assistant.ports import SAMPLE_RATE_HZ
from assistant.training.network_torch import Listening, Writing
from assistant.training.network_weights import read_weights
from assistant.training.phone_torch import alike_in_length, pace_at, torch_or_advice
from assistant.training.phone_training import edits
from assistant.training.writing_sounds import Spoken, as_written, spoken_texts, texts_of
from assistant.wiring import load_libraries, shipped_procedures

Floats = NDArray[np.float32]

BATCH, HEARD_AT_ONCE = 192, 96
FASTEST = 1e-3
WARMING = 200
"""Batches over which the pace rises to its fastest."""
SLOWEST = 0.02
"""Share of the fastest pace at the end."""
DECAY = 1e-2
SMOOTHED = 0.05
"""Weight of being unsure: keeps it from certainties that noise makes wrong."""
CHANGED = 0.08
"""Share of the words so far that are others while it learns, so that it listens more than it guesses."""
HIDDEN = 0.1
"""Share of each sound's steps that it does not get while it learns."""
LONGEST_S = 8.0
MOST_TOKENS = 40


@click.command(epilog="Example: hoodside bench writing --count 400 --rounds 1 --out writing.npz")
@click.option("--count", default=48_000, show_default=True, help="Utterances to learn from.")
@click.option("--rounds", default=10, show_default=True, help="Times that all of them are gone through.")
@click.option("--rank", default=32, show_default=True, help="Of the thin matrices.")
@click.option("--varied", default=0.5, show_default=True, help="Share moved to other throats, rooms, microphones.")
@click.option("--tested", default=1_000, show_default=True, help="Utterances never learnt from, to tell by.")
@click.option("--processes", default=1, show_default=True, help="How many speak at a time.")
@click.option("--seed", default=1, show_default=True, help="Other speech, other noise, another beginning.")
@click.option("--out", type=click.Path(path_type=Path), required=True, help="The file to write, as writing.npz.")
def command(
    *, count: int, rounds: int, rank: int, varied: float, tested: int, processes: int, seed: int, out: Path
) -> None:
    """Teach the network the trade's words; needs torch, and a graphics processor to be done within minutes."""
    torch = torch_or_advice()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    torch.set_float32_matmul_precision("high")
    files = find_network()
    vocabulary = Vocabulary(read_token_texts(files.tokenizer), begin=BEGIN, end=END)
    _, library = load_libraries(tuple(shipped_procedures()))
    procedures = list(library.values())
    listening = Listening(read_weights(files.encoder), torch, device)
    writing = Writing(read_weights(files.decoder), torch, device)
    made = {}
    for name, many, left_out in (("learnt", count, False), ("kept", tested, True)):
        texts = texts_of(procedures, varied=varied, seed=seed + left_out, left_out=left_out)
        made[name] = heard(spoken_texts(texts, count=many, processes=processes), listening, vocabulary)
        click.echo(f"{len(made[name])} said: {name}", err=True)
    click.echo(f"{wrong_words(made['kept'], writing, vocabulary):.1%} of words wrong before", err=True)
    teach(made["learnt"], writing, rounds=rounds, rank=rank, seed=seed, tell=lambda words: click.echo(words, err=True))
    share = wrong_words(made["kept"], writing, vocabulary)
    pairs = {
        name: (first.detach().cpu().numpy(), second.detach().cpu().numpy())
        for name, (first, second) in writing.thin.pairs.items()
    }
    matrices = read_weights(files.decoder).matrices
    write_taught(
        [
            Taught(
                first=first,
                second=second,
                at=matrices[name].at,
                of=files.decoder.stat().st_size,
                scale=matrices[name].scale,
            )
            for name, (first, second) in pairs.items()
        ],
        out,
    )
    click.echo(f"{share:.1%} of words wrong over {len(made['kept'])} utterances not learnt from. Written: {out}")


class Learnt:
    """One thing said: what the listening half made of it, (steps, 288), and the tokens that write it."""

    __slots__ = ("hidden", "tokens", "words")

    def __init__(self, hidden: Any, tokens: tuple[int, ...], words: str) -> None:
        self.hidden, self.tokens, self.words = hidden, tokens, words


def heard(chunks: Iterator[list[Spoken]], listening: Listening, vocabulary: Vocabulary) -> list[Learnt]:
    """What the listening half makes of it all; what is too long, or has letters that nobody can write, is left out."""
    torch = listening.torch
    found: list[Learnt] = []
    waiting: list[tuple[Floats, tuple[int, ...], str]] = []
    for chunk in chunks:
        for one in chunk:
            text = as_written(one.words)
            tokens = vocabulary.encode(text)
            if len(one.sound) <= LONGEST_S * SAMPLE_RATE_HZ and bool(tokens) == bool(text):
                waiting.append((one.sound, tokens, one.words))
        while len(waiting) >= 10 * HEARD_AT_ONCE:
            waiting.sort(key=lambda one: len(one[0]))
            for _ in range(8):
                found += _at_once(waiting[:HEARD_AT_ONCE], listening, torch)
                waiting = waiting[HEARD_AT_ONCE:]
    waiting.sort(key=lambda one: len(one[0]))
    for start in range(0, len(waiting), HEARD_AT_ONCE):
        found += _at_once(waiting[start : start + HEARD_AT_ONCE], listening, torch)
    return found


def _at_once(those: Sequence[tuple[Floats, tuple[int, ...], str]], listening: Listening, torch: Any) -> list[Learnt]:
    frames = [len(sound) for sound, _, _ in those]
    sounds = np.zeros((len(those), max(frames)), np.float32)
    for row, (sound, _, _) in enumerate(those):
        sounds[row, : len(sound)] = sound
    with torch.no_grad():
        hidden, lengths = listening(
            torch.from_numpy(sounds).to(listening.device), torch.tensor(frames, device=listening.device)
        )
        hidden = hidden.half()
    return [
        Learnt(hidden[row, : int(length)].clone(), tokens, words)
        for row, (length, (_, tokens, words)) in enumerate(zip(lengths.tolist(), those, strict=True))
    ]


def teach(
    learnt: Sequence[Learnt], writing: Writing, *, rounds: int, rank: int, seed: int, tell: Callable[[str], None]
) -> None:
    """All but the last matrix, which knows the tokens, gets a thin pair."""
    torch = writing.torch
    torch.manual_seed(seed)
    learning = writing.learn(dict.fromkeys([name for name in writing.names if name != "proj_out"], rank), seed)
    mover = torch.optim.AdamW(learning, lr=FASTEST, weight_decay=DECAY)
    batches = rounds * -(-len(learnt) // BATCH)
    pace = torch.optim.lr_scheduler.LambdaLR(mover, lambda step: pace_at(step, batches, WARMING, SLOWEST))
    random = np.random.default_rng(seed)
    for number in range(rounds):
        total = 0.0
        for batch in alike_in_length(learnt, [len(one.hidden) for one in learnt], BATCH, random):
            hidden, lengths = _together(batch, torch)
            tokens, wanted, there = _tokens(batch, torch, writing.device)
            other = (torch.rand(tokens.shape, device=writing.device) < CHANGED) & (tokens != BEGIN)
            tokens = torch.where(other, torch.randint_like(tokens, END + 1, 30_000), tokens)
            shown = torch.rand(hidden.shape[:2], device=writing.device) >= HIDDEN
            logits = writing(tokens, hidden * shown[..., None], lengths)
            loss = torch.nn.functional.cross_entropy(logits[there], wanted[there], label_smoothing=SMOOTHED)
            mover.zero_grad()
            loss.backward()
            torch.nn.utils.clip_grad_norm_(learning, 1.0)
            mover.step()
            pace.step()
            total += float(loss.detach()) * len(batch)
        tell(f"round {number + 1} of {rounds}: {total / len(learnt):.3f} nats a token")


def wrong_words(kept: Sequence[Learnt], writing: Writing, vocabulary: Vocabulary) -> float:
    """Word errors a word where always the likeliest token is written."""
    errors = words = 0
    for start in range(0, len(kept), BATCH):
        batch = kept[start : start + BATCH]
        for one, text in zip(batch, _written(batch, writing, vocabulary), strict=True):
            errors += edits(plain_words(text).split(), one.words.split())
            words += len(one.words.split())
    return errors / max(1, words)


def _written(batch: Sequence[Learnt], writing: Writing, vocabulary: Vocabulary) -> list[str]:
    torch = writing.torch
    with torch.no_grad():
        hidden, lengths = _together(batch, torch)
        tokens = torch.full((len(batch), 1), BEGIN, device=writing.device)
        for _ in range(MOST_TOKENS):
            best = writing(tokens, hidden, lengths, last=True)[:, -1].argmax(-1, keepdim=True)
            tokens = torch.cat((tokens, best), dim=1)
            if bool((tokens == END).any(1).all()):
                break
    rows = [row[1:] for row in tokens.tolist()]
    return [vocabulary.text(row[: row.index(END)] if END in row else row) for row in rows]


def _together(batch: Sequence[Learnt], torch: Any) -> tuple[Any, Any]:
    """Their sounds as one, (rows, steps, 288), and how many steps each has."""
    hidden = torch.nn.utils.rnn.pad_sequence([one.hidden for one in batch], batch_first=True).float()
    return hidden, torch.tensor([len(one.hidden) for one in batch], device=hidden.device)


def _tokens(batch: Sequence[Learnt], torch: Any, device: Any) -> tuple[Any, Any, Any]:
    """What is written so far, what comes next, and where that is."""
    longest = max(len(one.tokens) for one in batch) + 1
    before = np.full((len(batch), longest), END, np.int64)
    after = np.full((len(batch), longest), END, np.int64)
    there = np.zeros((len(batch), longest), bool)
    before[:, 0] = BEGIN
    for row, one in enumerate(batch):
        before[row, 1 : len(one.tokens) + 1] = one.tokens
        after[row, : len(one.tokens)] = one.tokens
        there[row, : len(one.tokens) + 1] = True
    return tuple(torch.from_numpy(each).to(device) for each in (before, after, there))
