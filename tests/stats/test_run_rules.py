"""Run rules by exact enumeration, exact Markov chains and simulation."""

from functools import partial
from itertools import pairwise, permutations, product
from math import factorial
from statistics import NormalDist

import numpy as np
import pytest
from scipy.sparse import coo_array, eye_array
from scipy.sparse.linalg import spsolve

from analytics.stats.run_rules import (
    NELSON,
    WESTERN_ELECTRIC,
    alternating,
    avoiding_centre,
    beyond,
    broken_rules,
    same_side,
    some_beyond,
    steady_trend,
)

PHI = NormalDist().cdf


def any_broken(z, rules):
    return np.logical_or.reduce(list(broken_rules(z, rules).values()))


def zones_between(cuts):
    """A value inside each zone the cuts make, and the chance of the zone."""
    values = np.array([cuts[0] - 0.5, *(sum(pair) / 2 for pair in pairwise(cuts)), cuts[-1] + 0.5])
    return values, np.diff([0.0, *(PHI(cut) for cut in cuts), 1.0])


def chance_in_one_window(rule, values, chances, length):
    """Chance that a window of this length sets the rule off, by trying every row of zones."""
    rows = np.array(list(product(range(len(values)), repeat=length)))
    broken = rule(values[rows]).any(axis=1)
    return float(chances[rows][broken].prod(axis=1).sum())


@pytest.mark.parametrize(
    ("test", "cuts", "length", "chance"),
    [
        ("T1", (-3, 3), 1, 0.002700),
        ("T2", (0,), 9, 0.003906),
        ("T5", (-2, 2), 3, 0.003058),
        ("T6", (-1, 1), 5, 0.005532),
        ("T8", (-1, 1), 8, 0.000102),
    ],
)
def test_chance_of_nelsons_tests_in_one_window(test, cuts, length, chance):
    # Definitions Nelson 1984, J. Qual. Technol. 16:237; chances by exact arithmetic.
    ours = chance_in_one_window(NELSON[test], *zones_between(cuts), length)
    assert ours == pytest.approx(chance, abs=0.0000006)


def test_chance_of_fifteen_points_inside_one_sigma():
    # Nelson T7: .003261 (exact arithmetic); two zones, inside and outside, are enough.
    inside = PHI(1) - PHI(-1)
    zones = np.array([0.5, 1.5]), np.array([inside, 1 - inside])
    assert chance_in_one_window(NELSON["T7"], *zones, 15) == pytest.approx(0.003261, abs=6e-7)


def test_six_steadily_rising_points_are_five_moves():
    # Nelson T3: 2 of the 6! orders, .002778 (exact).
    orders = np.array(list(permutations(range(6))), dtype=float)
    assert steady_trend(orders)[:, -1].sum() == 2
    assert 2 / factorial(6) == pytest.approx(0.002778, abs=5e-7)
    assert steady_trend(np.arange(5.0)).sum() == 0


def test_alternating_points_are_counted_like_zigzag_permutations():
    # Of 7! orders 2 x 272 alternate (Euler zigzag number); 14 points: 2 x 199360981 / 14!.
    orders = np.array(list(permutations(range(7))), dtype=float)
    assert alternating(orders, count=7)[:, -1].sum() == 2 * 272
    assert 2 * 199360981 / factorial(14) == pytest.approx(0.004574, abs=5e-7)


def test_fourteen_alternating_points_signal_and_thirteen_do_not():
    zigzag = np.resize([0.5, -0.5], 14)
    assert np.flatnonzero(NELSON["T4"](zigzag)).tolist() == [13]


def exact_run_length(rules, cuts, memory):
    """Mean run length in control: the engine run on every memory of zones, NaN before the start."""
    values, chances = zones_between(cuts)
    symbols = np.array([np.nan, *values])
    base = symbols.size
    states = np.array(list(product(range(base), repeat=memory)))
    number = base ** np.arange(memory)[::-1]
    rows, columns, weights = [], [], []
    for zone, chance in enumerate(chances, start=1):
        ahead = np.column_stack([states, np.full(len(states), zone)])
        quiet = ~any_broken(symbols[ahead], rules)[:, -1]
        rows.append(np.flatnonzero(quiet))
        columns.append(ahead[quiet, 1:] @ number)
        weights.append(np.full(quiet.sum(), chance))
    index = (np.concatenate(rows), np.concatenate(columns))
    moves = coo_array((np.concatenate(weights), index), shape=(len(states),) * 2)
    lengths = spsolve((eye_array(len(states)) - moves).tocsc(), np.ones(len(states)))
    return lengths[0]


@pytest.mark.parametrize(
    ("also", "cuts", "memory", "published"),
    [
        ([], (-3, 3), 1, 370.40),
        (["2 of 3 beyond 2"], (-3, -2, 2, 3), 2, 225.44),
        (["4 of 5 beyond 1"], (-3, -1, 1, 3), 4, 166.05),
        (["8 same side"], (-3, 0, 3), 7, 152.73),
    ],
)
def test_false_alarms_of_each_rule_beside_the_3_sigma_rule(also, cuts, memory, published):
    # Champ & Woodall 1987, Technometrics 29:393; from memory, reproduced by computation.
    rules = {name: WESTERN_ELECTRIC[name] for name in ["1 beyond 3", *also]}
    assert exact_run_length(rules, cuts, memory) == pytest.approx(published, abs=0.006)


def test_false_alarms_of_nine_on_one_side():
    # 3 sigma and nine on one side: 216.7 (exact). Beyond 3 sigma ends the run, so signs suffice.
    rules = {"T1": beyond, "T2": partial(same_side, count=9)}
    assert exact_run_length(rules, (-3, 0, 3), 8) == pytest.approx(216.7, abs=0.05)


@pytest.mark.parametrize(("shift", "runs", "length"), [(0, 3000, 1300), (1, 20000, 130)])
def test_all_four_rules_together_signal_when_champ_and_woodall_say(reference, shift, runs, length):
    # Champ & Woodall 1987; from memory, reproduced by an exact Markov chain: 91.75 and 9.22.
    table = reference("runrules_arl.csv").query("rule_set == '1+2of3+4of5+8same'")
    published = float(table.set_index("shift_sigma").loc[shift, "arl"])
    z = np.random.default_rng(31).normal(shift, 1, (runs, length))
    flags = any_broken(z, WESTERN_ELECTRIC)
    assert flags.any(axis=1).all()
    lengths = flags.argmax(axis=1) + 1
    assert abs(lengths.mean() - published) < 3 * lengths.std() / np.sqrt(runs)


def test_point_on_a_limit_is_not_beyond_it():
    assert beyond(np.array([3.0, -3.0, 3.001, -3.001])).tolist() == [False, False, True, True]
    assert not some_beyond(np.array([2.0, 2.0, 2.0]), need=2, of=3, sigmas=2.0).any()


def test_two_of_three_are_on_the_same_side_and_end_at_this_point():
    rule = partial(some_beyond, need=2, of=3, sigmas=2.0)
    assert not rule(np.array([2.5, -2.5, 0.0])).any()
    assert rule(np.array([2.5, 0.0, 2.5, 0.0])).tolist() == [False, False, True, False]
    assert rule(np.array([2.5, 2.5, 0.0, 0.0])).tolist() == [False, True, False, False]
    assert rule(np.array([-2.5, -2.5, 0.0, 0.0])).tolist() == [False, True, False, False]
    assert not rule(np.array([2.5, 0.0, 0.0, 2.5])).any()


def test_eight_outside_one_sigma_need_both_sides():
    assert not avoiding_centre(np.full(8, 1.5)).any()
    assert avoiding_centre(np.resize([1.5, 1.5, -1.5], 8))[-1]


def test_missing_point_or_one_on_the_centre_line_breaks_a_run():
    run = np.full(9, 0.4)
    assert same_side(run, count=9)[-1]
    for breaker in (np.nan, 0.0):
        broken = run.copy()
        broken[4] = breaker
        assert not same_side(broken, count=9).any()


def test_rules_are_given_back_by_name():
    flags = broken_rules([0.1, 3.5], NELSON)
    assert list(flags) == ["T1", "T2", "T3", "T4", "T5", "T6", "T7", "T8"]
    assert flags["T1"].tolist() == [False, True]
