"""The search for sentences by phones alone."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.grammar.automaton import automaton_of
from assistant.grammar.jsgf import read_jsgf
from assistant.hearing import phone_search
from assistant.hearing.phone_search import PhoneNet, phone_net
from assistant.hearing.phones import PHONES, Reading, numbered

SOUNDS = {
    "no": ["N OW"], "spark": ["S P AA R K"], "weak": ["W IY K"], "one": ["W AH N"], "two": ["T UW"],
    "nine": ["N AY N"], "a": ["AH", "EY"], "pump": ["P AH M P"],
}  # fmt: skip
NEVER = -1e9


def readings(word: str) -> tuple[Reading, ...]:
    return tuple(numbered(sound.split()) for sound in SOUNDS.get(word, []))


def net_of(grammar: str) -> PhoneNet:
    net = phone_net(automaton_of(read_jsgf(f"public <said> = {grammar};")), readings)
    assert net is not None
    return net


def sound_of(phones: str, random: np.random.Generator, nats: float = 4.0) -> NDArray[np.float32]:
    """Three steps to a phone, one step of pause after each; all else is noise."""
    labels = [label for phone in phones.split() for label in (*[PHONES.index(phone) + 1] * 3, 0)]
    logs = random.normal(size=(len(labels), len(PHONES) + 1)).astype(np.float32)
    logs[np.arange(len(labels)), labels] += nats
    return logs


def by_definition(logs: NDArray[np.float32], reading: Reading) -> float:
    """Score of the best alignment: the usual recursion, sentence by sentence."""
    places = [0, *(label for phone in reading for label in (phone, 0))]
    best = [NEVER] * len(places)
    best[0], best[1] = float(logs[0, 0]), float(logs[0, places[1]])
    for moment in logs[1:]:
        best = [
            max(
                best[at],
                best[at - 1] if at else NEVER,
                best[at - 2] if at > 1 and places[at] and places[at] != places[at - 2] else NEVER,
            )
            + float(moment[places[at]])
            for at in range(len(places))
        ]
    return max(best[-1], best[-2])


def test_what_was_said_is_kept_and_what_sounds_otherwise_left_out() -> None:
    """Also where the grammar has no end of sentences."""
    net = net_of("no spark | weak spark | (one | two | nine)+ | a pump")
    random = np.random.default_rng(1)
    for phones, words, other in (
        ("N OW S P AA R K", "no spark", "a pump"),
        ("W AH N N AY N T UW T UW", "one nine two two", "no spark"),
        ("EY P AH M P", "a pump", "two two"),
    ):
        found = net.part(sound_of(phones, random), within=10.0, most=20)
        assert found is not None
        part, best = found
        assert best == words
        assert part.accepts(words.split())
        assert not part.accepts(other.split())


def test_the_best_sentences_stay_and_no_new_one_is_made() -> None:
    """So many words at most; each sentence of the part is one of the whole."""
    whole = automaton_of(read_jsgf("public <said> = no spark | weak spark | one pump;"))
    net = phone_net(whole, readings)
    assert net is not None
    found = net.part(sound_of("W IY K S P AA R K", np.random.default_rng(2)), within=1e6, most=4)
    assert found is not None
    part, _ = found
    assert part.accepts(["weak", "spark"])
    assert part.accepts(["no", "spark"])
    assert not part.accepts(["one", "pump"])
    assert not part.accepts(["weak", "pump"])


@pytest.mark.parametrize("seed", range(12))
def test_a_word_is_as_good_as_the_best_sentence_through_it(seed: int) -> None:
    """Outside check: the recursion over one sentence at a time, from the definition, on noise alone."""
    net = net_of("(no | weak | a) (spark | pump | nine) [one | two]")
    random = np.random.default_rng(seed)
    logs = random.normal(size=(30, len(PHONES) + 1)).astype(np.float32) * 2
    scores: dict[str, float] = {}
    for first in ("no", "weak", "a"):
        for second in ("spark", "pump", "nine"):
            for third in ("", "one", "two"):
                words = f"{first} {second} {third}".strip()
                whole: list[Reading] = [()]
                for word in words.split():
                    whole = [before + after for before in whole for after in readings(word)]
                scores[words] = max(by_definition(logs, reading) for reading in whole)
    through, _ = net.through(logs)
    best = max(scores.values())
    # A phone may be said twice in a row across two words without a pause between, which the definition forbids.
    assert best - 1e-3 <= through.max() <= best + 3.0
    alone = np.array([max(score for words, score in scores.items() if word in words.split()) for word in net.words])
    assert np.mean(np.abs(through - alone)) < 3.0  # one beginning a word costs that much where nothing is to be heard


def test_a_grammar_with_an_unknown_sound_or_too_many_phones_is_left_to_the_text(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Then there is no net, and the phones say nothing."""
    assert phone_net(automaton_of(read_jsgf("public <said> = no spark | xyzzy;")), readings) is None
    monkeypatch.setattr(phone_search, "MOST_NODES", 5)
    assert phone_net(automaton_of(read_jsgf("public <said> = no spark;")), readings) is None


def test_sound_too_short_for_any_sentence_has_no_part() -> None:
    """Two steps cannot hold five phones."""
    assert net_of("spark").part(np.zeros((2, len(PHONES) + 1), np.float32), within=1.0, most=3) is None
