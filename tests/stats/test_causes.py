"""Noisy-OR, explaining away, weight of evidence and Shapley values."""

from itertools import permutations

import numpy as np
import pytest

from analytics.stats.causes import (
    all_states,
    chance_from_decibans,
    decibans,
    link_strength,
    noisy_or,
    noisy_or_posterior,
    posterior,
    shapley_values,
)

# Russell & Norvig, Artificial Intelligence: cold, flu, malaria with inhibitions .6, .2, .1.
FEVER = [0.4, 0.8, 0.9]
FEVER_PRIORS = [0.1, 0.05, 0.01]


@pytest.mark.parametrize(
    ("cold", "flu", "malaria", "no_fever"),
    [
        (0, 0, 0, 1.0),
        (0, 0, 1, 0.1),
        (0, 1, 0, 0.2),
        (0, 1, 1, 0.02),
        (1, 0, 0, 0.6),
        (1, 0, 1, 0.06),
        (1, 1, 0, 0.12),
        (1, 1, 1, 0.012),
    ],
)
def test_fever_table(cold, flu, malaria, no_fever):
    # Russell & Norvig, table of no-fever chances (seen), exact.
    assert noisy_or([cold, flu, malaria], FEVER) == pytest.approx(1 - no_fever, abs=1e-12)


@pytest.mark.parametrize(
    ("leak", "fever", "causes"),
    [
        (0.0, 0.0866944, [0.495054, 0.467001, 0.104717]),
        (0.01, 0.0958275, [0.453828, 0.423485, 0.094833]),
    ],
)
def test_fever_posteriors(leak, fever, causes):
    # Priors of our own, computed.
    after = noisy_or_posterior(FEVER_PRIORS, FEVER, leak)
    assert after.seen == pytest.approx(fever, abs=5e-8)
    np.testing.assert_allclose(after.causes, causes, atol=6e-7)


def test_leak_is_not_counted_twice():
    # Henrion 1989: .6 asked for with a leak of .1 running is a link of .555556.
    link = link_strength(elicited=0.6, leak=0.1)
    assert link == pytest.approx(0.555556, abs=5e-7)
    assert noisy_or([1], [link], leak=0.1) == pytest.approx(0.6)
    assert noisy_or([1], [0.6], leak=0.1) == pytest.approx(0.64)


def test_cause_weaker_than_the_leak_has_no_link():
    assert link_strength(elicited=0.05, leak=0.1) == 0


def alarm_calls():
    """Chance of the alarm, and of both neighbours calling, by burglary (bit 0), quake (bit 1)."""
    alarm = np.array([0.001, 0.94, 0.29, 0.95])
    both_call = alarm * 0.90 * 0.70 + (1 - alarm) * 0.05 * 0.01
    return alarm, both_call


def test_burglary_when_both_neighbours_call():
    # Pearl 1988 with Russell & Norvig's numbers; data seen, results from memory, reproduced.
    alarm, both_call = alarm_calls()
    assert posterior([0.001, 0.002], both_call).causes[0] == pytest.approx(0.2842, abs=0.00005)
    assert posterior([0.001, 0.002], alarm).seen == pytest.approx(0.002516, abs=5e-7)
    no_cause = np.array([1.0, 0, 0, 0]) * alarm * 0.90 * 0.70
    assert posterior([0.001, 0.002], no_cause).seen == pytest.approx(0.000628, abs=5e-7)


def test_quake_explains_the_alarm_away():
    # Same source: P(burglary | alarm) .3736, P(burglary | alarm, quake) .0033.
    alarm, _ = alarm_calls()
    quake_felt = alarm * np.array([0, 0, 1, 1])
    assert posterior([0.001, 0.002], alarm).causes[0] == pytest.approx(0.3736, abs=0.00005)
    assert posterior([0.001, 0.002], quake_felt).causes[0] == pytest.approx(0.0033, abs=0.00005)


def test_states_are_numbered_by_bits():
    assert all_states(3)[5].tolist() == [1, 0, 1]
    with pytest.raises(ValueError, match="too many"):
        all_states(17)


def test_impossible_evidence_is_refused():
    with pytest.raises(ValueError, match="impossible"):
        noisy_or_posterior([0.0, 0.0], [0.5, 0.5], leak=0.0)


def test_machine_a_or_b():
    # Jaynes 2003, ch. 4; from memory, reproduced: prior -10 db, a bad part +3.0103 db, a good one
    # -0.9691 db, ten bad in a row +20.1 db.
    prior = decibans((1 / 11) / (10 / 11))
    bad = decibans((1 / 3) / (1 / 6))
    good = decibans((2 / 3) / (5 / 6))
    assert prior == pytest.approx(-10)
    assert bad == pytest.approx(3.0103, abs=0.00005)
    assert good == pytest.approx(-0.9691, abs=0.00005)
    assert prior + 10 * bad == pytest.approx(20.1, abs=0.01)
    assert chance_from_decibans(prior) == pytest.approx(1 / 11)


def test_decibans_and_bayes_agree():
    after = posterior([1 / 11], [(1 / 6) ** 3, (1 / 3) ** 3]).causes[0]
    assert chance_from_decibans(decibans(1 / 10) + 3 * decibans(2)) == pytest.approx(after)


def worth_of_each_group(players, worth):
    return [worth([i for i in range(players) if group >> i & 1]) for group in range(2**players)]


def test_glove_game():
    # Textbook, exact: one left glove, two right: 2/3, 1/6, 1/6.
    worth = worth_of_each_group(3, lambda group: float(0 in group and len(group) > 1))
    np.testing.assert_allclose(shapley_values(worth), [2 / 3, 1 / 6, 1 / 6])


def test_runway_game():
    # Littlechild & Owen 1973, textbook form: costs 8, 11, 13, 18 are shared 2, 3, 4, 9.
    costs = [8, 11, 13, 18]
    worth = worth_of_each_group(4, lambda group: max((costs[i] for i in group), default=0))
    np.testing.assert_allclose(shapley_values(worth), [2, 3, 4, 9])


def test_shares_add_up_and_are_the_mean_over_all_orders_of_joining():
    worth = np.random.default_rng(2).normal(size=2**5)
    worth[0] = 0
    by_order = np.zeros(5)
    for order in permutations(range(5)):
        group = 0
        for player in order:
            by_order[player] += (worth[group | 1 << player] - worth[group]) / 120
            group |= 1 << player
    shares = shapley_values(worth)
    np.testing.assert_allclose(shares, by_order)
    assert shares.sum() == pytest.approx(worth[-1])


def test_dummy_gets_nothing_and_equals_get_the_same():
    worth = worth_of_each_group(3, lambda group: float(len(set(group) & {0, 2}) ** 2))
    shares = shapley_values(worth)
    assert shares[1] == pytest.approx(0)
    assert shares[0] == pytest.approx(shares[2])


def test_twelve_players_are_the_most():
    assert shapley_values(np.bitwise_count(np.arange(2**12))).tolist() == pytest.approx([1.0] * 12)
    for worth in (np.zeros(2**13), np.zeros(6)):
        with pytest.raises(ValueError, match=r"2\^n entries"):
            shapley_values(worth)
