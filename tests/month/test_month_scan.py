"""The exact scan over start days: right by another program, by simulation, and at the edges."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import fisher_exact

from analytics.month.scan import scan


def test_one_window_of_one_spell_is_fishers_exact_test() -> None:
    # External: scipy.stats.fisher_exact, one-sided.
    made, found = np.array([120, 30]), np.array([7, 6])
    tried = scan(made, found, np.array([0.1, 0.1]), np.ones(1))
    expected = fisher_exact([[6, 24], [7, 113]], alternative="greater").pvalue
    assert tried.rise_p == pytest.approx(expected, rel=1e-9)


def test_false_alarms_come_as_often_as_the_p_value_says() -> None:
    rng = np.random.default_rng(11)
    made, weights = np.full(24, 30), np.r_[np.ones(6), np.full(6, 0.25)]
    p_values = np.array(
        [
            scan(made, rng.binomial(made, 0.05), np.full(24, 0.05), weights).rise_p
            for _ in range(800)
        ]
    )
    for level in (0.02, 0.05, 0.1):
        spread = 3 * np.sqrt(level * (1 - level) / 800)
        assert (p_values <= level).mean() <= level + spread
    assert (p_values <= 0.1).mean() > 0.05


def test_extra_spread_between_spells_is_allowed_for() -> None:
    rng = np.random.default_rng(12)
    made, spread = np.full(24, 40), 0.05
    a, b = 0.1 * (1 / spread - 1), 0.9 * (1 / spread - 1)
    flat, ones = np.full(24, 0.1), np.ones(6)
    drawn = [rng.binomial(made, rng.beta(a, b, 24)) for _ in range(300)]
    wary = np.array([scan(made, found, flat, ones, spread).rise_p for found in drawn])
    naive = np.array([scan(made, found, flat, ones).rise_p for found in drawn])
    assert (wary <= 0.05).mean() <= 0.05 + 3 * np.sqrt(0.05 * 0.95 / 300)
    assert (naive <= 0.05).mean() > 0.15


def test_the_clearest_window_is_the_one_planted() -> None:
    found = np.array([1] * 16 + [8] * 4)
    tried = scan(np.full(20, 30), found, np.full(20, 0.05), np.ones(8))
    assert tried.rise_window == 4
    assert tried.rise_p < 1e-6
    assert tried.fall_p == 1.0


def test_a_fall_is_told_from_a_rise() -> None:
    tried = scan(np.full(20, 30), np.array([8] * 16 + [0] * 4), np.full(20, 0.2), np.ones(8))
    assert tried.fall_p < 1e-6
    assert tried.rise_p == 1.0


def test_more_to_be_expected_is_no_rise() -> None:
    # Twice the defects in spells that were expected to bring twice as many.
    found, chance = np.array([3] * 16 + [6] * 4), np.r_[np.full(16, 0.1), np.full(4, 0.2)]
    made = np.full(20, 30)
    assert scan(made, found, chance, np.ones(8)).rise_p > 0.3
    assert scan(made, found, np.full(20, 0.1), np.ones(8)).rise_p < 0.02


def test_spells_in_which_nothing_was_made_are_harmless() -> None:
    full = scan(np.array([60, 60, 20]), np.array([3, 3, 6]), np.full(3, 0.05), np.ones(1))
    gaps = scan(
        np.array([60, 0, 60, 20]), np.array([3, 0, 3, 6]), np.full(4, 0.05), np.ones(1)
    )  # fmt: skip
    assert gaps.rise_p == pytest.approx(full.rise_p)


def test_nothing_found_is_nothing_to_tell() -> None:
    tried = scan(np.full(6, 30), np.zeros(6, dtype=int), np.full(6, 0.05), np.ones(3))
    assert (tried.rise_p, tried.fall_p) == (1.0, 1.0)


def test_a_large_shop_is_worked_out_without_loss() -> None:
    rng = np.random.default_rng(13)
    made = np.full(48, 4000)
    found = rng.binomial(made, np.r_[np.full(44, 0.05), np.full(4, 0.10)])
    tried = scan(made, found, np.full(48, 0.07), np.ones(24))
    assert tried.rise_p < 1e-30
    assert tried.rise_window == 4
