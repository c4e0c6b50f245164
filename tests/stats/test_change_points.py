"""One change point, against coal mining, the Nile and planted changes."""

from math import log

import numpy as np
import pytest
from scipy import stats

from analytics.stats.changes import level_change, rate_change, share_change


def test_coal_mining_disasters(reference):
    # Jarrett 1979; Raftery & Akman 1986; Carlin, Gelfand & Smith 1992: most probable 1891 as LAST
    # year of the old regime, about 3 and 1 a year (from memory, reproduced); chances computed.
    table = reference("coal_disasters_by_year.csv")
    change = rate_change(table["disasters"], shape=0.5, rate=0)
    years = table["year"].to_numpy()
    assert years[change.last_old] == 1891
    assert years[change.first_new] == 1892
    assert (change.before, change.after) == pytest.approx((3.1, 0.9), abs=0.05)
    by_last_old = dict(zip(years[:-1], change.probability[1:], strict=True))
    expected = {1891: 0.238, 1890: 0.185, 1889: 0.148, 1887: 0.103}
    for year, chance in expected.items():
        assert by_last_old[year] == pytest.approx(chance, abs=0.0006)
    assert years[np.array(change.interval()) - 1].tolist() == [1886, 1896]


def test_coal_mining_rates_averaged_over_the_place_of_change(reference):
    # Computed: mean rates 3.14 and 0.93.
    counts = reference("coal_disasters_by_year.csv")["disasters"].to_numpy()
    weight = rate_change(counts, shape=0.5, rate=0).probability[1:]
    k, seen = np.arange(1, 112), np.cumsum(counts)[:-1]
    assert weight @ ((seen + 0.5) / k) == pytest.approx(3.14, abs=0.006)
    assert weight @ ((191 - seen + 0.5) / (112 - k)) == pytest.approx(0.93, abs=0.006)


def test_coal_mining_disasters_with_a_proper_prior(reference):
    # Gamma(1, 1): .245, .185, .143 (computed). Change against none: 2 ln LR is 69.99, so the
    # Bayes factor must be huge but below exp(69.99 / 2).
    change = rate_change(reference("coal_disasters_by_year.csv")["disasters"])
    top = np.sort(change.probability)[::-1][:3]
    np.testing.assert_allclose(top, [0.245, 0.185, 0.143], atol=0.0006)
    assert 20 < change.log_bayes_factor < 69.99 / 2


def test_improper_prior_has_no_bayes_factor():
    assert np.isnan(rate_change([3, 4, 0, 1], shape=0.5, rate=0).log_bayes_factor)


def test_nile(reference):
    # Cobb 1978; R strucchange help: data seen, results from memory, reproduced.
    table = reference("nile.csv")
    change = level_change(table["flow_1e8_m3"])
    assert change.first_new == 28  # 28 old years, 1871 to 1898
    assert table["year"][change.last_old] == 1898
    assert change.before == pytest.approx(1097.75)
    assert change.after == pytest.approx(849.97, abs=0.005)
    assert change.rss_without == pytest.approx(2_835_157, abs=1)
    assert change.rss_with == pytest.approx(1_597_457, abs=1)
    assert change.bic_without == pytest.approx(1318.2, abs=0.05)
    assert change.bic_with == pytest.approx(1270.1, abs=0.05)


def test_nile_interval_lies_in_the_published_one(reference):
    # Bai-Perron interval 1895 to 1902 (from memory, reproduced); ours is another kind.
    table = reference("nile.csv")
    low, high = level_change(table["flow_1e8_m3"]).interval()
    assert 1895 <= table["year"][low - 1] <= 1898 <= table["year"][high - 1] <= 1902


def log_evidence_by_prediction(bad):
    """Beta(1/2, 1/2) evidence of 0/1 results as the product of one-ahead predictions."""
    total, seen = 0.0, 0
    for i, result in enumerate(bad):
        chance = (seen + 0.5) / (i + 1)
        total += log(chance if result else 1 - chance)
        seen += result
    return total


def test_share_change_is_the_chain_rule_worked_out():
    # Independent route: evidence as a product of predictions, change places averaged.
    bad = [0, 0, 1, 0, 0, 1, 1, 0, 1, 1, 1]
    with_change = np.array(
        [
            log_evidence_by_prediction(bad[:k]) + log_evidence_by_prediction(bad[k:])
            for k in range(1, len(bad))
        ]
    )
    change = share_change(bad, np.ones(len(bad)))
    weights = np.exp(with_change)
    np.testing.assert_allclose(change.probability[1:], weights / weights.sum())
    expected = np.log(weights.mean()) - log_evidence_by_prediction(bad)
    assert change.log_bayes_factor == pytest.approx(expected)


def log_rate_evidence_by_prediction(counts, shape, rate):
    """Gamma evidence of Poisson counts as the product of one-ahead predictions."""
    total = 0.0
    for count in counts:
        total += stats.nbinom(shape, rate / (rate + 1)).logpmf(count)
        shape, rate = shape + count, rate + 1
    return total


def test_rate_change_is_the_chain_rule_worked_out():
    counts = [4, 6, 3, 5, 1, 0, 2]
    with_change = np.array(
        [
            log_rate_evidence_by_prediction(counts[:k], 2.0, 0.5)
            + log_rate_evidence_by_prediction(counts[k:], 2.0, 0.5)
            for k in range(1, 7)
        ]
    )
    change = rate_change(counts, shape=2.0, rate=0.5)
    weights = np.exp(with_change)
    np.testing.assert_allclose(change.probability[1:], weights / weights.sum())
    expected = np.log(weights.mean()) - log_rate_evidence_by_prediction(counts, 2.0, 0.5)
    assert change.log_bayes_factor == pytest.approx(expected)


def test_first_new_is_the_first_observation_of_the_new_regime():
    change = share_change([0, 0, 0, 0, 8, 8, 8], [9, 9, 9, 9, 9, 9, 9])
    assert (change.first_new, change.last_old) == (4, 3)
    assert change.probability[0] == 0
    assert change.probability.sum() == pytest.approx(1)
    assert change.before < 0.1 < 0.8 < change.after


def test_planted_change_in_a_share_is_found_and_dated():
    rng = np.random.default_rng(17)
    jobs = rng.integers(15, 25, 24)
    events = rng.binomial(jobs, np.where(np.arange(24) < 16, 0.08, 0.30))
    change = share_change(events, jobs)
    low, high = change.interval()
    assert low <= 16 <= high
    assert change.log_bayes_factor > log(100)


def test_steady_share_is_not_called_a_change():
    rng = np.random.default_rng(18)
    jobs = np.full(24, 20)
    factors = [share_change(rng.binomial(jobs, 0.12), jobs).log_bayes_factor for _ in range(200)]
    assert np.mean(np.array(factors) > log(10)) < 0.05


def test_rate_change_takes_the_amount_of_work_into_account():
    parts = [10, 10, 10, 40, 40, 40]
    change = rate_change([2, 1, 2, 8, 7, 8], exposure=parts)
    assert change.log_bayes_factor < 0
    assert rate_change([2, 1, 2, 8, 7, 8]).log_bayes_factor > 0


@pytest.mark.parametrize("values", [[1.0], [1.0, np.nan, 2.0]])
def test_too_little_or_unknown_is_refused(values):
    with pytest.raises(ValueError, match="two or more known"):
        rate_change(values)


def test_readings_all_the_same_have_no_change():
    with pytest.raises(ValueError, match="the same"):
        level_change([5.0, 5.0, 5.0])
