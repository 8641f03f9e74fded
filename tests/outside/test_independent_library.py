"""Posteriors against pyAgrum (Shafer and Shenoy's propagation), which is given the very same network, to 1e-6.

Every node and every set of one or two findings: whole for the published networks and the Polybox; for the shipped model
every single finding and a fixed sample of pairs in the ordinary run, every pair under the marker `campaign`. Its
LazyPropagation is as exact and takes some twenty times as long on the shipped model.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations, product
from pathlib import Path

import numpy as np
import pytest

from assistant.reasoning.network import Network, compile_network
from assistant.reasoning.posterior import believe, value_odds
from assistant.reasoning.reader import read_model
from assistant.wiring import shipped_folder

gum = pytest.importorskip("pyagrum")

SMALL = sorted((Path(__file__).parent / "fault_models").glob("*.faults.yaml"))
SHIPPED = shipped_folder("procedures") / "no-start.faults.yaml"
HYPOTHESIS = "which faults"
TOLERANCE = 1e-6
SAMPLE = 40

Findings = tuple[tuple[str, str], ...]


def load(path: Path) -> Network:
    return compile_network(read_model(str(path), path.read_text(encoding="utf-8")))


def other_engine(network: Network) -> gum.ShaferShenoyInference:
    """The same variables, arcs and tables in the other library."""
    net = gum.BayesNet()
    net.add(gum.LabelizedVariable(HYPOTHESIS, "", [str(number) for number in range(len(network.prior))]))
    for node in network.nodes.values():
        net.add(gum.LabelizedVariable(node.name, "", list(node.values)))
    for node in network.nodes.values():
        for parent in (HYPOTHESIS, *node.parents):
            net.addArc(parent, node.name)
    net.cpt(HYPOTHESIS).fillWith(network.prior.tolist())
    for node in network.nodes.values():
        sizes = (len(network.prior), *(len(network.nodes[parent].values) for parent in node.parents), len(node.values))
        ours = [HYPOTHESIS, *node.parents, node.name]
        cpt = net.cpt(node.name)
        # Its arrays have the axes in the reverse order of their names.
        cpt[:] = np.ascontiguousarray(
            node.table.reshape(sizes).transpose([ours.index(name) for name in reversed(cpt.names)])
        )
    engine = gum.ShaferShenoyInference(net)
    engine.setNumberOfThreads(1)
    return engine


def findings(network: Network, sizes: Iterable[int]) -> Iterator[Findings]:
    """Every set of that many findings."""
    for size in sizes:
        for names in combinations(network.nodes, size):
            for values in product(*(network.nodes[name].values for name in names)):
                yield tuple(zip(names, values, strict=True))


def compare(network: Network, engine: gum.ShaferShenoyInference, evidence: Findings) -> None:
    """Both engines agree on the likelihood, on the hypotheses and on every node."""
    belief = believe(network, dict(evidence))
    if not belief.possible:
        return
    engine.setEvidence(dict(evidence))
    engine.makeInference()
    assert engine.evidenceProbability() == pytest.approx(belief.likelihood, abs=TOLERANCE)
    assert np.abs(engine.posterior(HYPOTHESIS).toarray() - belief.hypotheses).max() < TOLERANCE
    for name in network.nodes:
        ours = np.array(list(value_odds(network, belief, name).values()))
        assert np.abs(engine.posterior(name).toarray() - ours).max() < TOLERANCE, (evidence, name)


@pytest.mark.parametrize("path", SMALL, ids=lambda path: path.name.split(".")[0])
def test_small_networks_agree_on_every_set_of_up_to_two_findings(path: Path) -> None:
    """On the published networks both engines agree on every node under no, one and two findings."""
    network = load(path)
    engine = other_engine(network)
    for evidence in findings(network, (0, 1, 2)):
        compare(network, engine, evidence)


def test_shipped_model_agrees_on_every_single_finding() -> None:
    """On the shipped model both engines agree on every node under every single finding."""
    network = load(SHIPPED)
    engine = other_engine(network)
    for evidence in findings(network, (0, 1)):
        compare(network, engine, evidence)


def test_shipped_model_agrees_on_a_sample_of_pairs() -> None:
    """On the shipped model both engines agree on every node under a fixed sample of two findings."""
    network = load(SHIPPED)
    engine = other_engine(network)
    pairs = list(findings(network, (2,)))
    for number in np.random.default_rng(7).choice(len(pairs), SAMPLE, replace=False):
        compare(network, engine, pairs[int(number)])


@pytest.mark.campaign
def test_shipped_model_agrees_on_every_pair() -> None:
    """On the shipped model both engines agree on every node under every set of two findings."""
    network = load(SHIPPED)
    engine = other_engine(network)
    for evidence in findings(network, (2,)):
        compare(network, engine, evidence)
