"""The network's answers are exact, and agree with published worked examples."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from analytics.diagnosis.inference import Network, blame


def by_enumeration(
    network: Network, present: list[int], absent: list[int], target: int
) -> tuple[np.ndarray, float, np.ndarray]:
    """Fired, leaked and active chances by summing over every state of every cause."""
    fired = np.zeros(len(network.active))
    active = np.zeros(len(network.active))
    leaked = evidence = 0.0
    for state in product((0, 1), repeat=len(network.active)):
        on = np.array(state)
        weight = np.prod(np.where(on, network.active, 1 - network.active))
        quiet = (1 - network.leak) * np.prod(1 - network.link * on[:, None], axis=0)
        for finding in present:
            weight *= 1 - quiet[finding] if finding != target else 1
        weight *= np.prod(quiet[absent]) if absent else 1
        evidence += weight * (1 - quiet[target])
        fired += weight * on * network.link[:, target]
        leaked += weight * network.leak[target]
        active += weight * (1 - quiet[target]) * on
    return fired / evidence, leaked / evidence, active / evidence


@pytest.mark.parametrize("seed", range(12))
def test_blame_equals_summing_over_every_state(seed: int) -> None:
    rng = np.random.default_rng(seed)
    causes, findings = int(rng.integers(2, 8)), int(rng.integers(1, 7))
    network = Network(
        rng.uniform(0.01, 0.6, causes),
        rng.uniform(0, 0.95, (causes, findings)),
        rng.uniform(0.001, 0.2, findings),
    )
    order = rng.permutation(findings)
    seen = int(rng.integers(1, findings + 1))
    present, absent = [int(f) for f in order[:seen]], [int(f) for f in order[seen:]]
    target = present[-1]
    told = blame(network, present, absent, target)
    fired, leaked, active = by_enumeration(network, present, absent, target)
    np.testing.assert_allclose(told.fired, fired, atol=1e-9)
    np.testing.assert_allclose(told.active, active, atol=1e-9)
    assert told.leaked == pytest.approx(leaked, abs=1e-9)


def fever(leak: float) -> Network:
    """Cold, flu and malaria bring fever with 0.4, 0.8 and 0.9 (Russell and Norvig, "Artificial
    Intelligence", noisy-OR table); the priors 0.1, 0.05 and 0.01 are our own choice."""
    return Network(np.array([0.1, 0.05, 0.01]), np.array([[0.4], [0.8], [0.9]]), np.array([leak]))


@pytest.mark.parametrize(
    ("leak", "expected"),
    [
        # Posteriors computed by enumeration from the published table, to six figures.
        (0.0, [0.495054, 0.467001, 0.104717]),
        (0.01, [0.453828, 0.423485, 0.094833]),
    ],
)
def test_fever_example_gives_the_posteriors_of_its_table(
    leak: float, expected: list[float]
) -> None:
    np.testing.assert_allclose(blame(fever(leak), [0], [], 0).active, expected, atol=1e-6)


def test_a_second_cause_explains_the_first_away() -> None:
    network = Network(
        np.array([0.1, 0.1]),
        np.array([[0.8, 0.0], [0.8, 0.9]]),
        np.array([0.01, 0.01]),
    )
    alone = blame(network, [0], [], 0).active[0]
    explained = blame(network, [0, 1], [], 0).active[0]
    assert explained < 0.5 * alone


def test_a_defect_looked_for_and_absent_speaks_against_its_usual_cause() -> None:
    network = Network(
        np.array([0.1, 0.1]),
        np.array([[0.6, 0.9], [0.6, 0.0]]),
        np.array([0.01, 0.01]),
    )
    without = blame(network, [0], [], 0).shares()[0]
    told = blame(network, [0], [1], 0).shares()[0]
    assert without[0] == pytest.approx(without[1])
    assert told[0] < 0.3 * told[1]


def test_shares_and_leak_sum_to_one() -> None:
    shares, leak = blame(fever(0.05), [0], [], 0).shares()
    assert shares.sum() + leak == pytest.approx(1)


def by_reference_library(network: Network, present: list[int], absent: list[int]) -> np.ndarray:
    """Active chances from pyAgrum's junction-tree inference on the same network, tables and all."""
    gum = pytest.importorskip("pyagrum")
    net = gum.BayesNet()
    causes, findings = network.link.shape
    for cause in range(causes):
        net.add(gum.LabelizedVariable(f"c{cause}", "", 2))
    for finding in range(findings):
        net.add(gum.LabelizedVariable(f"f{finding}", "", 2))
        for cause in range(causes):
            net.addArc(f"c{cause}", f"f{finding}")
    for cause in range(causes):
        net.cpt(f"c{cause}").fillWith([1 - network.active[cause], network.active[cause]])
    for finding in range(findings):
        for state in product((0, 1), repeat=causes):
            on = np.array(state)
            quiet = (1 - network.leak[finding]) * np.prod(1 - network.link[:, finding] * on)
            place = {f"c{cause}": int(on[cause]) for cause in range(causes)}
            net.cpt(f"f{finding}")[place] = [quiet, 1 - quiet]
    engine = gum.LazyPropagation(net)
    seen = {f"f{f}": 1 for f in present} | {f"f{f}": 0 for f in absent}
    engine.setEvidence(seen)
    engine.makeInference()
    return np.array([engine.posterior(f"c{cause}")[1] for cause in range(causes)])


@pytest.mark.parametrize("seed", range(8))
def test_chances_equal_a_reference_librarys_on_random_networks(seed: int) -> None:
    """Compared with pyAgrum (junction tree, exact) to 1e-9."""
    rng = np.random.default_rng(100 + seed)
    causes, findings = int(rng.integers(2, 7)), int(rng.integers(2, 6))
    network = Network(
        rng.uniform(0.01, 0.6, causes),
        rng.uniform(0, 0.95, (causes, findings)),
        rng.uniform(0.001, 0.2, findings),
    )
    order = [int(f) for f in rng.permutation(findings)]
    present, absent = order[: 1 + findings // 2], order[1 + findings // 2 :]
    told = blame(network, present, absent, present[0]).active
    np.testing.assert_allclose(told, by_reference_library(network, present, absent), atol=1e-9)
