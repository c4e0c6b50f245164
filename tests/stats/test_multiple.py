"""P values of many conditions at once."""

import numpy as np
import pytest
from statsmodels.stats.multitest import multipletests

from analytics.stats.multiple import benjamini_hochberg, holm

# Benjamini & Hochberg 1995, JRSS B 57:289, the example of section 4.
PUBLISHED = [
    0.0001,
    0.0004,
    0.0019,
    0.0095,
    0.0201,
    0.0278,
    0.0298,
    0.0344,
    0.0459,
    0.3240,
    0.4262,
    0.5719,
    0.6528,
    0.7590,
    1.0000,
]


def test_benjamini_hochberg_rejects_four_and_holm_three():
    # From memory, reproduced by computation.
    assert (benjamini_hochberg(PUBLISHED) <= 0.05).sum() == 4
    assert (holm(PUBLISHED) <= 0.05).sum() == 3


def test_adjusted_values():
    # Computed.
    expected = [0.0015, 0.0030, 0.0095, 0.03562, 0.0603, 0.06386, 0.06386, 0.0645, 0.0765, 0.486]
    np.testing.assert_allclose(benjamini_hochberg(PUBLISHED)[:10], expected, atol=0.00001)


@pytest.mark.parametrize(("ours", "theirs"), [(benjamini_hochberg, "fdr_bh"), (holm, "holm")])
def test_adjusted_values_agree_with_statsmodels_in_any_order(ours, theirs):
    p_values = np.random.default_rng(3).permutation(PUBLISHED)
    np.testing.assert_allclose(ours(p_values), multipletests(p_values, method=theirs)[1])


def test_unknown_p_value_stays_unknown_and_is_not_counted():
    adjusted = benjamini_hochberg([0.01, np.nan, 0.04])
    assert np.isnan(adjusted[1])
    np.testing.assert_allclose(adjusted[[0, 2]], benjamini_hochberg([0.01, 0.04]))


def test_nothing_asked_gives_nothing_back():
    assert holm([]).size == 0
