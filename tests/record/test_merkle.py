"""The tree that grows, held against the definitions of RFC 6962 and its published vectors."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.record.merkle import (
    EMPTY_ROOT,
    Nodes,
    consistency,
    extends,
    grown,
    includes,
    inclusion,
    leaf_hash,
    root_of,
)

LEAVES = [bytes.fromhex(each) for each in (
    "", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f",
)]  # fmt: skip
ROOTS = (
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
)
"""Roots over the first 0 to 8 of `LEAVES`.
Source: the vectors with which public logs of that RFC test their trees (merkle_tree_test)."""


def by_definition(leaves: Sequence[bytes]) -> bytes:
    """MTH(D[n]) word for word as RFC 6962, 2.1 defines it."""
    if not leaves:
        return hashlib.sha256(b"").digest()
    if len(leaves) == 1:
        return hashlib.sha256(b"\x00" + leaves[0]).digest()
    split = 1
    while split * 2 < len(leaves):
        split *= 2
    return hashlib.sha256(b"\x01" + by_definition(leaves[:split]) + by_definition(leaves[split:])).digest()


def path_by_definition(index: int, leaves: Sequence[bytes]) -> tuple[bytes, ...]:
    """PATH(m, D[n]) word for word as RFC 6962, 2.1.1 defines it."""
    if len(leaves) == 1:
        return ()
    split = 1
    while split * 2 < len(leaves):
        split *= 2
    if index < split:
        return (*path_by_definition(index, leaves[:split]), by_definition(leaves[split:]))
    return (*path_by_definition(index - split, leaves[split:]), by_definition(leaves[:split]))


def proof_by_definition(older: int, leaves: Sequence[bytes], whole: bool = True) -> tuple[bytes, ...]:
    """SUBPROOF(m, D[n], b) word for word as RFC 6962, 2.1.2 defines it."""
    if older == len(leaves):
        return () if whole else (by_definition(leaves),)
    split = 1
    while split * 2 < len(leaves):
        split *= 2
    if older <= split:
        return (*proof_by_definition(older, leaves[:split], whole), by_definition(leaves[split:]))
    return (*proof_by_definition(older - split, leaves[split:], False), by_definition(leaves[:split]))


def tree(leaves: Sequence[bytes]) -> tuple[Nodes, bytes]:
    """A tree grown leaf by leaf, and its root."""
    kept: dict[tuple[int, int], bytes] = {}
    peaks: tuple[bytes, ...] = ()
    for number, leaf in enumerate(leaves):
        peaks, completed = grown(peaks, number, leaf_hash(leaf))
        kept |= {(level, number >> level): node for level, node in enumerate(completed)}
    return lambda level, index: kept[level, index], root_of(peaks)


@pytest.mark.parametrize("size", range(9))
def test_the_published_roots_come_out(size: int) -> None:
    """The tree grows through the published roots, from the one of no leaves."""
    assert tree(LEAVES[:size])[1].hex() == ROOTS[size]
    assert EMPTY_ROOT.hex() == ROOTS[0]


@given(st.integers(1, 70), st.data())
def test_proofs_are_those_of_the_definition_and_hold(size: int, data: st.DataObject) -> None:
    """Any leaf under any root, any older root before any newer one; and none of them with one bit another."""
    leaves = [bytes([number]) * (number % 5) for number in range(size)]
    nodes, root = tree(leaves)
    index, older = data.draw(st.integers(0, size - 1)), data.draw(st.integers(1, size))
    path, proof = inclusion(nodes, index, size), consistency(nodes, older, size)
    assert root == by_definition(leaves)
    assert path == path_by_definition(index, leaves) and proof == proof_by_definition(older, leaves)
    leaf, older_root = leaf_hash(leaves[index]), by_definition(leaves[:older])
    assert includes(root, size, index, leaf, path)
    assert extends(older, older_root, size, root, proof)
    other = hashlib.sha256(b"other").digest()
    assert not includes(root, size, index, other, path)
    assert not includes(other, size, index, leaf, path)
    assert not extends(older, other, size, root, proof)
    for place in range(len(path)):
        assert not includes(root, size, index, leaf, [*path[:place], other, *path[place + 1 :]])
    for place in range(len(proof)):
        assert not extends(older, older_root, size, root, [*proof[:place], other, *proof[place + 1 :]])


def test_nothing_is_proved_of_what_is_not_there() -> None:
    """No leaf before the first or behind the last, no older tree that is empty or larger; nor by a longer proof."""
    nodes, root = tree(LEAVES)
    leaf, other = leaf_hash(LEAVES[7]), bytes(32)
    for index in (-1, 8):
        assert not includes(root, 8, index, leaf, inclusion(nodes, 7, 8))
        with pytest.raises(ValueError, match="a tree of 8 leaves has no leaf"):
            inclusion(nodes, index, 8)
    for older in (0, 9):
        assert not extends(older, root, 8, root, (other,))
        with pytest.raises(ValueError, match="nothing proves"):
            consistency(nodes, older, 8)
    assert not includes(root, 8, 7, leaf, (*inclusion(nodes, 7, 8), other))
    assert not includes(leaf, 1, 0, leaf, (other,)) and includes(leaf, 1, 0, leaf, ())
    older = tree(LEAVES[:3])[1]
    proof = consistency(nodes, 3, 8)
    assert extends(3, older, 8, root, proof) and not extends(3, older, 8, root, (*proof, other))
    assert not extends(3, older, 8, root, ()) and not extends(8, root, 8, root, (other,))
