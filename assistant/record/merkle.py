"""A Merkle tree that only grows, by RFC 6962, section 2.1: hashes, roots, and both proofs with their checks.

Whoever keeps the tree keeps the hash of each complete subtree; `Nodes` gives it back. An inclusion proof shows that a
leaf is under a root; a consistency proof shows that an older root is of the same leaves, in the same order, with more
behind them. Each takes about as many hashes as the number of leaves has binary digits.
Source: RFC 6962 (June 2013), 2.1 to 2.1.2; the checks as in RFC 9162 (December 2021), 2.1.3.2 and 2.1.4.2.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence

Nodes = Callable[[int, int], bytes]
"""Level and index -> hash of the index-th complete subtree over 2**level leaves. Raises LookupError."""

EMPTY_ROOT = hashlib.sha256(b"").digest()


def leaf_hash(leaf: bytes) -> bytes:
    """The hash of a leaf."""
    return hashlib.sha256(b"\x00" + leaf).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """The hash of two subtrees side by side."""
    return hashlib.sha256(b"\x01" + left + right).digest()


def grown(peaks: Sequence[bytes], size: int, leaf: bytes) -> tuple[tuple[bytes, ...], tuple[bytes, ...]]:
    """The tree of `size` leaves with one more: its peaks, and the subtrees that the new leaf completes, from it up.

    `peaks`: the complete subtrees that make the tree, the largest first. `leaf`: the new leaf's hash.
    """
    rest, completed = list(peaks), [leaf]
    while size & 1:
        completed.append(node_hash(rest.pop(), completed[-1]))
        size >>= 1
    return (*rest, completed[-1]), tuple(completed)


def root_of(peaks: Sequence[bytes]) -> bytes:
    """The root over these peaks, the largest first."""
    if not peaks:
        return EMPTY_ROOT
    root = peaks[-1]
    for peak in reversed(peaks[:-1]):
        root = node_hash(peak, root)
    return root


def inclusion(nodes: Nodes, index: int, size: int) -> tuple[bytes, ...]:
    """The path that proves leaf `index` under the root of `size` leaves. Raises LookupError, ValueError."""
    if not 0 <= index < size:
        raise ValueError(f"a tree of {size} leaves has no leaf {index}")
    start, end, path = 0, size, []
    while end - start > 1:
        middle = start + _split(end - start)
        if index < middle:
            path.append(_over(nodes, middle, end))
            end = middle
        else:
            path.append(_over(nodes, start, middle))
            start = middle
    return tuple(reversed(path))


def includes(root: bytes, size: int, index: int, leaf: bytes, path: Sequence[bytes]) -> bool:
    """Whether the path proves the leaf's hash at `index` under the root of `size` leaves."""
    if not 0 <= index < size:
        return False
    place, last, found = index, size - 1, leaf
    for step in path:
        if last == 0:
            return False
        if place & 1 or place == last:
            found = node_hash(step, found)
            while not place & 1 and place:
                place, last = place >> 1, last >> 1
        else:
            found = node_hash(found, step)
        place, last = place >> 1, last >> 1
    return last == 0 and found == root


def consistency(nodes: Nodes, older: int, newer: int) -> tuple[bytes, ...]:
    """The proof that the first `older` of `newer` leaves are the older tree's. Raises LookupError, ValueError."""
    if not 0 < older <= newer:
        raise ValueError(f"nothing proves {older} leaves against {newer}")
    start, end, whole, proof = 0, newer, True, []
    while end != older:
        middle = start + _split(end - start)
        if older <= middle:
            proof.append(_over(nodes, middle, end))
            end = middle
        else:
            proof.append(_over(nodes, start, middle))
            start, whole = middle, False
    return tuple(reversed(proof if whole else [*proof, _over(nodes, start, end)]))


def extends(older: int, older_root: bytes, newer: int, newer_root: bytes, proof: Sequence[bytes]) -> bool:
    """Whether the proof shows that the newer tree begins with the leaves of the older one."""
    if older == newer:
        return not proof and older_root == newer_root
    if not 0 < older < newer or not proof:
        return False
    steps = [older_root, *proof] if older & (older - 1) == 0 else list(proof)
    place, last = older - 1, newer - 1
    while place & 1:
        place, last = place >> 1, last >> 1
    first = second = steps[0]
    for step in steps[1:]:
        if last == 0:
            return False
        if place & 1 or place == last:
            first, second = node_hash(step, first), node_hash(step, second)
            while not place & 1 and place:
                place, last = place >> 1, last >> 1
        else:
            second = node_hash(second, step)
        place, last = place >> 1, last >> 1
    return last == 0 and first == older_root and second == newer_root


def _split(size: int) -> int:
    """The largest power of two below `size`."""
    return 1 << ((size - 1).bit_length() - 1)


def _over(nodes: Nodes, start: int, end: int) -> bytes:
    """The hash over leaves `start` to `end`, `start` being a multiple of the next power of two."""
    size = end - start
    if size & (size - 1) == 0:
        level = size.bit_length() - 1
        return nodes(level, start >> level)
    middle = start + _split(size)
    return node_hash(_over(nodes, start, middle), _over(nodes, middle, end))
