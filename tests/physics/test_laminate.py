"""Laminate thickness and resin against ISO 12215-5 and a worked laminate."""

import numpy as np
import pytest

from analytics.physics.laminate import (
    gelcoat_kg_m2,
    glass_content_pct,
    resin_kg_for,
    resin_to_glass,
    thickness_mm,
)


@pytest.mark.parametrize(
    ("glass_pct", "mm"),
    [
        (25, 2.891),
        (27, 2.644),
        (28.6, 2.471),
        (30, 2.335),
        (32, 2.162),
        (33.3, 2.060),
        (35, 1.938),
        (40, 1.641),
        (50, 1.224),
    ],
)
def test_thickness_of_a_kilogram_of_glass(glass_pct, mm):
    # ISO 12215-5 annex; formula from memory, reproduced by computation (psi given as 0.286 etc.).
    assert thickness_mm(1.0, glass_pct) == pytest.approx(mm, abs=0.004)


def test_thickness_of_common_mats_at_30_percent():
    # ISO 12215-5 annex; from memory, reproduced by computation.
    np.testing.assert_allclose(thickness_mm([0.3, 0.45, 0.6], 30), [0.70, 1.05, 1.40], atol=0.005)


def test_formula_is_the_rule_of_mixtures():
    # mm = kg/m2 over g/ml of glass and of resin, laid on each other.
    resin = resin_kg_for(1.125, 32)
    assert thickness_mm(1.125, 32) == pytest.approx(1.125 / 2.56 + resin / 1.20)
    assert thickness_mm(1.125, 32, glass_g_ml=2.6, resin_g_ml=1.15) == pytest.approx(
        1.125 / 2.6 + resin / 1.15
    )


def test_worked_laminate_of_one_225_and_two_450_mats():
    # Worked by hand: 1125 g/m2 at 30 % is 2.63 mm, 2.63 kg/m2 resin, 3.75 kg/m2 in all.
    glass = 0.225 + 2 * 0.450
    assert thickness_mm(glass, 30) == pytest.approx(2.63, abs=0.005)
    assert resin_kg_for(glass, 30) == pytest.approx(2.63, abs=0.006)
    assert glass + resin_kg_for(glass, 30) == pytest.approx(3.75)


def test_supplier_spread_rates_are_29_to_32_percent_glass():
    # Supplier sheet: 650 g resin on 300 mat, 1100 on 450, 1500 on 600.
    content = glass_content_pct([0.3, 0.45, 0.6], [0.65, 1.1, 1.5])
    np.testing.assert_allclose(content, [31.6, 29.0, 28.6], atol=0.05)


def test_ratio_2_33_is_30_percent_glass():
    assert resin_to_glass(3.0, 7.0) == pytest.approx(2.333, abs=0.001)
    assert glass_content_pct(3.0, 7.0) == pytest.approx(30)


def test_half_a_millimetre_of_gel_coat():
    # 0.50 mm at 1.2 g/ml is 0.60 kg/m2.
    assert gelcoat_kg_m2(0.5) == pytest.approx(0.60)
    assert gelcoat_kg_m2(0.5, density_g_ml=1.1) == pytest.approx(0.55)


def test_weight_not_noted_is_unknown_not_zero():
    assert np.isnan(glass_content_pct([1.0, 0.0, np.nan], [0.0, 2.0, 2.0])).all()
    assert np.isnan(resin_to_glass(0.0, 2.0))
    assert np.isnan(thickness_mm([1.0, 1.0, np.nan], [0.0, 130.0, 30.0])).all()
    assert np.isnan(resin_kg_for(1.0, np.nan))


def test_one_number_in_gives_one_number_out():
    assert isinstance(thickness_mm(1.0, 30), float)
    assert isinstance(glass_content_pct(3.0, 7.0), float)
