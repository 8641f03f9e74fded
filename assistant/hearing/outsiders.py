"""Words that nobody is asked for: what a short utterance could be instead, when it is not for us.

A grammar tells what is legal, and something legal fits any sound best. Whether the sound is legal at all is told by how
much better it fits words outside: "go" fits "no" and "go back", and itself better than either. Common English words of
one or two syllables, our own choice; those that are legal themselves are left out where they are.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from assistant.hearing.phones import Reading

MOST_PHONES = 10
"""Of longer sentences no single word is a rival by its phones alone."""

MOST_HELD_PHONES = 14
"""Longer sentences are not held against words outside at all: "well, go by the book" has 12 and was "go" once."""

WORDS = (
    "about", "after", "air", "all", "am", "and", "any", "are", "as", "ask", "at", "away", "back", "bad", "bag",
    "ball", "band", "bank", "base", "bed", "been", "below", "best", "big", "bird", "bit", "black", "blow", "blue",
    "boat", "body", "book", "both", "bottom", "box", "boy", "bring", "brown", "bus", "but", "buy", "by", "call",
    "came", "can", "car", "card", "care", "cat", "chair", "change", "check", "clean", "close", "cold", "come", "cool",
    "cost", "cup", "cut", "dad", "dark", "day", "deep", "dinner", "do", "does", "dog", "dollar", "door", "down",
    "draw", "drink", "drive", "dry", "each", "early", "east", "easy", "eat", "edge", "end", "even", "ever", "eye",
    "face", "fact", "fall", "far", "fast", "feel", "few", "fill", "find", "fine", "fire", "first", "fish", "five",
    "floor", "fly", "follow", "food", "foot", "for", "forward", "four", "free", "friend", "from", "full", "fun",
    "game", "gas", "get", "girl", "give", "glass", "go", "good", "got", "grab", "great", "green", "ground", "grow",
    "guess", "guy", "had", "half", "hand", "happy", "hard", "has", "hat", "have", "he", "head", "hear", "heat",
    "help", "her", "here", "hey", "high", "him", "his", "hit", "hold", "home", "hot", "house", "how", "hundred",
    "idea", "if", "in", "inside", "is", "it", "job", "jump", "just", "keep", "key", "kid", "kind", "know", "lamp",
    "land", "last", "late", "learn", "leave", "left", "less", "let", "life", "light", "like", "line", "list",
    "little", "live", "load", "long", "look", "lost", "lot", "love", "low", "lunch", "made", "main", "make", "man",
    "many", "matter", "may", "me", "mean", "men", "might", "mine", "minute", "money", "more", "most", "mouth", "move",
    "much", "music", "my", "name", "near", "need", "nine", "none", "north", "not", "now", "oh", "off", "oil", "old",
    "on", "one", "only", "open", "or", "other", "our", "out", "over", "own", "paper", "park", "part", "past", "pay",
    "phone", "pick", "piece", "place", "plan", "play", "please", "point", "power", "pull", "push", "put", "quick",
    "race", "radio", "rain", "ran", "read", "real", "red", "rest", "ride", "right", "road", "rock", "room", "round",
    "run", "safe", "said", "same", "sat", "save", "say", "school", "sea", "see", "seem", "seven", "shall", "she",
    "shoe", "shop", "short", "should", "show", "shut", "side", "sign", "sing", "sister", "sit", "six", "size", "sky",
    "sleep", "slow", "small", "snow", "so", "some", "song", "soon", "sorry", "sound", "south", "space", "stand",
    "star", "start", "stay", "still", "store", "street", "such", "sun", "sure", "table", "take", "talk", "tell",
    "ten", "test", "than", "thanks", "that", "the", "then", "there", "they", "thing", "think", "this", "three",
    "through", "time", "to", "today", "told", "too", "took", "tool", "top", "town", "track", "train", "tree", "truck",
    "true", "try", "turn", "two", "under", "up", "us", "use", "very", "view", "visual", "voice", "wait", "walk",
    "wall", "want", "war", "warm", "was", "wash", "watch", "water", "way", "we", "week", "well", "went", "were",
    "west", "what", "wheel", "when", "where", "white", "who", "wide", "will", "wind", "window", "wish", "with",
    "woman", "won", "word", "work", "world", "would", "wow", "write", "wrong", "yard", "yeah", "year", "yellow",
    "yet", "you", "young", "your", "zero",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Outsider:
    """Words that are not legal by themselves, and the ways to say them."""

    words: str
    readings: Sequence[Reading]


def parts_of(
    words: str, readings: Callable[[str], Sequence[Reading]], accepts: Callable[[Sequence[str]], bool]
) -> Iterator[Outsider]:
    """Each part of a short sentence that is itself not legal and sounds otherwise: of "time left" "time" and "left"."""
    said, own = words.split(), readings(words)
    for start in range(len(said)):
        for end in range(start + 1, len(said) + 1):
            part = said[start:end]
            if len(part) < len(said) and not accepts(part):
                found = readings(" ".join(part))
                if own[0] not in found:
                    yield Outsider(words=" ".join(part), readings=found)


def strangers_to(legal: set[Reading], of_word: Callable[[str], Sequence[Reading]]) -> tuple[Outsider, ...]:
    """Each common word that sounds like nothing legal and whose sound is known."""
    known = [Outsider(words=word, readings=of_word(word)) for word in WORDS]
    return tuple(each for each in known if each.readings and legal.isdisjoint(each.readings))
