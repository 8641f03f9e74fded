"""Teaches the network the trade's words, on top of what it knows: the half that writes, and to hear for it in a shop.

Only thin matrices beside its own learn (`network_torch`); what they add is put into the network's bytes where it is
loaded. The half that listens is there twice then: what hears for grammars, ears and gate stays as its maker has it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.files import find_network, read_token_texts
from assistant.adapters.recogniser_embedded.network import BEGIN, END
from assistant.adapters.recogniser_embedded.taught import Taught, write_taught
from assistant.hearing.tokens import Vocabulary
from assistant.language.plain import plain_words
from assistant.ports import SAMPLE_RATE_HZ
from assistant.training.network_torch import Half, Listening, Writing
from assistant.training.network_weights import read_weights
from assistant.training.phone_torch import alike_in_length, pace_at, torch_or_advice
from assistant.training.phone_training import edits
from assistant.training.writing_noise import Shop
from assistant.training.writing_sounds import Spoken, as_written, noises, spoken_texts, texts_of
from assistant.wiring import load_libraries, shipped_procedures

Pcm = NDArray[np.int16]

BATCH = 192
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
LONGEST_S = 7.0
MOST_TOKENS = 40
SHARE = 0.8
"""Of what was learnt, what is added. Source: of answers and voices that nothing was learnt from so many words are wrong
with 1, 0.8 and 0.6 of it, 79 answers: 18.3, 17.5, 18.3 % at 15 dB and 21.6, 19.9, 20.7 at 9. Of five sentences of a
novel, read aloud by somebody, in quiet and over a fan 39, 24, 7 % and 65, 30, 13 %, and where only the half that writes
was taught 21 % in quiet. With 0.6 answers are believed less by the weights of the second opinion, fitted with 1."""
STEP = 384
"""Samples that one step of the network spans."""
NOISES = 12
"""Stretches of noise for each process that makes them."""


@click.command(epilog="Example: hoodside bench writing --count 400 --rounds 1 --out writing.npz --heard hearing.npz")
@click.option("--count", default=84_000, show_default=True, help="Utterances to learn from.")
@click.option("--rounds", default=3, show_default=True, help="Times that all of them are gone through.")
@click.option("--rank", default=48, show_default=True, help="Of the thin matrices.")
@click.option("--varied", default=0.6, show_default=True, help="Share moved to other throats, rooms, microphones.")
@click.option("--tested", default=1_000, show_default=True, help="Utterances never learnt from, to tell by.")
@click.option("--processes", default=1, show_default=True, help="How many speak at a time.")
@click.option("--seed", default=1, show_default=True, help="Other speech, other noise, another beginning.")
@click.option("--out", type=click.Path(path_type=Path), required=True, help="The file to write, as writing.npz.")
@click.option("--heard", type=click.Path(path_type=Path), required=True, help="The other file, as hearing.npz.")
def command(
    *, count: int, rounds: int, rank: int, varied: float, tested: int, processes: int, seed: int, out: Path, heard: Path
) -> None:
    """Teach the network the trade's words; needs torch, and a graphics processor to be done within minutes."""
    torch = torch_or_advice()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    torch.set_float32_matmul_precision("high")
    files = find_network()
    vocabulary = Vocabulary(read_token_texts(files.tokenizer), begin=BEGIN, end=END)
    _, library = load_libraries(tuple(shipped_procedures()))
    procedures = list(library.values())
    pupil = Pupil(
        listening=Listening(read_weights(files.encoder), torch, device),
        writing=Writing(read_weights(files.decoder), torch, device),
    )
    texts = [texts_of(procedures, varied=varied, seed=seed + left_out, left_out=left_out) for left_out in (False, True)]
    learnt, kept = (
        said(spoken_texts(each, count=many, processes=processes), vocabulary)
        for each, many in zip(texts, (count, tested), strict=True)
    )
    shop, other_shop = (
        Shop(noises(each, count=NOISES * processes, processes=processes), torch, device) for each in texts
    )
    click.echo(f"{len(learnt)} said to learn from, {len(kept)} to tell by", err=True)
    click.echo(f"{wrong_words(kept, pupil, other_shop, vocabulary):.1%} of words wrong before", err=True)
    teach(learnt, pupil, shop, rounds=rounds, rank=rank, seed=seed, tell=lambda words: click.echo(words, err=True))
    share = wrong_words(kept, pupil, other_shop, vocabulary)
    for half, file, path in ((pupil.writing, files.decoder, out), (pupil.listening, files.encoder, heard)):
        write_taught(_taught(half, file), path)
    click.echo(f"{share:.1%} of words wrong over {len(kept)} utterances not learnt from. Written: {out}, {heard}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pupil:
    """Both halves of the network."""

    listening: Listening
    writing: Writing

    @property
    def torch(self) -> Any:
        """The library."""
        return self.writing.torch

    def quick(self) -> AbstractContextManager[object]:
        """While it lasts, matrices are multiplied with 16 bits where there is a graphics processor."""
        context: AbstractContextManager[object] = self.torch.autocast(
            "cuda", self.torch.bfloat16, enabled=self.writing.device == "cuda"
        )
        return context


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """One thing said, and the tokens that write it."""

    sound: Pcm
    tokens: tuple[int, ...]
    words: str


def said(chunks: Iterator[list[Spoken]], vocabulary: Vocabulary) -> list[Learnt]:
    """All of it; what is too long, or has letters that nobody can write, is left out."""
    found: list[Learnt] = []
    for one in (one for chunk in chunks for one in chunk):
        text = as_written(one.words)
        tokens = vocabulary.encode(text)
        if len(one.sound) <= LONGEST_S * SAMPLE_RATE_HZ and bool(tokens) == bool(text):
            found.append(Learnt(sound=one.sound, tokens=tokens, words=one.words))
    return found


def _taught(half: Half, file: Path) -> list[Taught]:
    matrices, size = read_weights(file).matrices, file.stat().st_size
    pairs = {name: [each.detach().cpu().numpy() for each in pair] for name, pair in half.thin.pairs.items()}
    share = np.float32(SHARE)
    return [
        Taught(first=first, second=second * share, at=matrices[name].at, of=size, scale=matrices[name].scale)
        for name, (first, second) in pairs.items()
    ]


def teach(
    learnt: Sequence[Learnt], pupil: Pupil, shop: Shop, *,
    rounds: int, rank: int, seed: int, tell: Callable[[str], None],
) -> None:  # fmt: skip
    """All matrices but the last, which knows the tokens, get a thin pair; what is said is in other noise each time."""
    torch, writing = pupil.torch, pupil.writing
    torch.manual_seed(seed)
    names = [name for name in writing.names if name != "proj_out"]
    learning = writing.learn(dict.fromkeys(names, rank), seed)
    learning += pupil.listening.learn(dict.fromkeys(pupil.listening.names, rank), seed + 1)
    mover = torch.optim.AdamW(learning, lr=FASTEST, weight_decay=DECAY)
    batches = rounds * -(-len(learnt) // BATCH)
    pace = torch.optim.lr_scheduler.LambdaLR(mover, lambda step: pace_at(step, batches, WARMING, SLOWEST))
    random = np.random.default_rng(seed)
    steps = [len(one.sound) // STEP for one in learnt]
    for number in range(rounds):
        total = torch.zeros((), device=writing.device)
        for batch in alike_in_length(learnt, steps, BATCH, random):
            hidden, lengths = _heard(batch, pupil, shop, random)
            tokens, wanted, there = _tokens(batch, torch, writing.device)
            other = (torch.rand(tokens.shape, device=writing.device) < CHANGED) & (tokens != BEGIN)
            tokens = torch.where(other, torch.randint_like(tokens, END + 1, 30_000), tokens)
            shown = torch.rand(hidden.shape[:2], device=writing.device) >= HIDDEN
            with pupil.quick():
                logits = writing(tokens, hidden * shown[..., None], lengths)[there]
            loss = torch.nn.functional.cross_entropy(logits.float(), wanted[there], label_smoothing=SMOOTHED)
            mover.zero_grad()
            loss.backward()
            torch.nn.utils.clip_grad_norm_(learning, 1.0)
            mover.step()
            pace.step()
            total += loss.detach() * len(batch)
        tell(f"round {number + 1} of {rounds}: {float(total) / len(learnt):.3f} nats a token")


def _heard(batch: Sequence[Learnt], pupil: Pupil, shop: Shop, random: np.random.Generator) -> tuple[Any, Any]:
    """What the half that listens makes of them in a shop, (rows, steps, 288), and how many steps each has."""
    with pupil.torch.no_grad():
        within, lengths = pupil.listening.first(*shop([one.sound for one in batch], random))
    with pupil.quick():
        return pupil.listening.later(within, lengths)


def wrong_words(kept: Sequence[Learnt], pupil: Pupil, shop: Shop, vocabulary: Vocabulary) -> float:
    """Word errors a word where always the likeliest token is written."""
    random = np.random.default_rng(0)
    errors = words = 0
    for start in range(0, len(kept), BATCH):
        batch = kept[start : start + BATCH]
        for one, text in zip(batch, _written(batch, pupil, shop, random, vocabulary), strict=True):
            errors += edits(plain_words(text).split(), one.words.split())
            words += len(one.words.split())
    return errors / max(1, words)


def _written(
    batch: Sequence[Learnt], pupil: Pupil, shop: Shop, random: np.random.Generator, vocabulary: Vocabulary
) -> list[str]:
    torch = pupil.torch
    with torch.no_grad():
        hidden, lengths = _heard(batch, pupil, shop, random)
        tokens = torch.full((len(batch), 1), BEGIN, device=pupil.writing.device)
        for _ in range(MOST_TOKENS):
            with pupil.quick():
                best = pupil.writing(tokens, hidden, lengths, last=True)[:, -1].argmax(-1, keepdim=True)
            tokens = torch.cat((tokens, best), dim=1)
            if bool((tokens == END).any(1).all()):
                break
    rows = [row[1:] for row in tokens.tolist()]
    return [vocabulary.text(row[: row.index(END)] if END in row else row) for row in rows]


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
