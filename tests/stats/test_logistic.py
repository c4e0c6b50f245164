"""Firth's logistic regression."""

import numpy as np
import pytest
from scipy.stats import norm
from statsmodels.discrete.discrete_model import Logit

from analytics.stats.logistic import firth


@pytest.fixture
def endometrial(reference):
    table = reference("endometrial_firth.csv")
    return firth(table[["NV", "PI", "EH"]], table["HG"])


def test_endometrial_cancer(endometrial):
    # Heinze & Schemper 2002, Stat. Med. 21:2409; data seen, results from memory, reproduced (also
    # by R brglm2). Rows: constant, NV, PI, EH.
    fit = endometrial
    np.testing.assert_allclose(
        fit.coefficients, [3.77456, 2.92927, -0.03475, -2.60416], atol=0.000006
    )
    np.testing.assert_allclose(
        fit.standard_errors, [1.48869, 1.55076, 0.03958, 0.77602], atol=0.000006
    )
    np.testing.assert_allclose(fit.low, [1.08254, 0.60972, -0.12446, -4.36518], atol=0.00001)
    np.testing.assert_allclose(fit.high, [7.20928, 7.85463, 0.04046, -1.23272], atol=0.00001)
    np.testing.assert_allclose(fit.chi2, [8.198, 6.798, 0.747, 17.759], atol=0.0006)
    np.testing.assert_allclose(fit.p_value, [0.0042, 0.0091, 0.387, 2.5e-5], rtol=0.01)
    assert fit.log_likelihood == pytest.approx(-24.03727, abs=0.000006)


def test_profile_and_wald_disagree_under_separation(endometrial):
    # Same source: NV separates the cases; Wald P .059, profile P .009. The profile is right.
    wald = 2 * norm.sf(abs(endometrial.coefficients[1] / endometrial.standard_errors[1]))
    assert wald == pytest.approx(0.059, abs=0.0005)
    assert endometrial.p_value[1] == pytest.approx(0.009, abs=0.0005)
    assert endometrial.low[1] > 0
    up = endometrial.high[1] - endometrial.coefficients[1]
    down = endometrial.coefficients[1] - endometrial.low[1]
    assert up > 2 * down


def test_challenger_o_rings(reference):
    # Dalal, Fowlkes & Hoadley 1989, data seen; Firth fit computed.
    table = reference("challenger_orings.csv")
    fit = firth(table["temp_F"], table["any"])
    np.testing.assert_allclose(fit.coefficients, [11.9495, -0.1860], atol=0.00006)
    assert (fit.low[1], fit.high[1]) == pytest.approx((-0.4195, -0.0405), abs=0.00006)
    assert fit.p_value[1] == pytest.approx(0.0093, abs=0.00005)


def test_penalty_shrinks_the_published_maximum_likelihood_slope(reference):
    # Published ML slope -0.2322 (Dalal et al.); Firth's must be nearer 0.
    table = reference("challenger_orings.csv")
    ml = Logit(table["any"], np.column_stack([np.ones(23), table["temp_F"]])).fit(disp=0).params
    assert ml.iloc[1] == pytest.approx(-0.2322, abs=0.00005)
    assert ml.iloc[1] < firth(table["temp_F"], table["any"]).coefficients[1] < 0


def test_penalty_hardly_matters_with_many_jobs():
    rng = np.random.default_rng(9)
    x = rng.normal(size=(3000, 2))
    y = rng.random(3000) < 1 / (1 + np.exp(-(x @ [0.8, -0.5] - 1)))
    ml = Logit(y.astype(float), np.column_stack([np.ones(3000), x])).fit(disp=0)
    fit = firth(x, y)
    np.testing.assert_allclose(fit.coefficients, ml.params, atol=0.01)
    np.testing.assert_allclose(fit.low, ml.conf_int()[:, 0], atol=0.01)


def test_two_by_two_table_adds_half_to_every_cell():
    # Firth 1993: with one yes/no condition the penalty is the same as 1/2 added to each cell.
    x = np.repeat([1, 1, 0, 0], [3, 0, 4, 9])
    y = np.repeat([1, 0, 1, 0], [3, 0, 4, 9])
    expected = np.log(3.5 * 9.5 / (0.5 * 4.5))
    assert firth(x, y).coefficients[1] == pytest.approx(expected, abs=1e-6)


def test_fit_does_not_depend_on_the_units_of_x(reference):
    table = reference("challenger_orings.csv")
    fahrenheit = firth(table["temp_F"], table["any"])
    milli_c = firth((table["temp_F"] - 32) / 1.8 * 1000, table["any"])
    assert milli_c.coefficients[1] * 1000 / 1.8 == pytest.approx(fahrenheit.coefficients[1])
    assert milli_c.high[1] * 1000 / 1.8 == pytest.approx(fahrenheit.high[1])
    assert milli_c.p_value[1] == pytest.approx(fahrenheit.p_value[1])


@pytest.mark.parametrize("seed", range(12))
def test_few_separated_jobs_get_a_finite_interval_wherever_zero_is(seed):
    # A mould near 20 °C, good above its median and bad below: plain fits run away here.
    rng = np.random.default_rng(seed)
    mould_c = 20 + rng.normal(0, 0.3, rng.integers(6, 25))
    bad = (mould_c < np.median(mould_c)).astype(float)
    fit, centred = firth(mould_c, bad), firth(mould_c - 20, bad)
    assert fit.low[1] < fit.coefficients[1] < 0
    assert fit.coefficients[1] < fit.high[1] < np.inf
    for ours, theirs in ((fit.low, centred.low), (fit.high, centred.high)):
        assert ours[1] == pytest.approx(theirs[1], rel=1e-4, abs=1e-4)


def test_what_cannot_be_fitted_is_refused():
    with pytest.raises(ValueError, match="constant or follows"):
        firth([[1.0, 2.0], [1.0, 4.0], [1.0, 7.0]], [0, 1, 0])
    with pytest.raises(ValueError, match="never varies"):
        firth([1.0, 2.0, 3.0], [0, 0, 0])
