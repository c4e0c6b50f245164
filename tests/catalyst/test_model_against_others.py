"""The fitter against figures and programs that are not ours."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm

from analytics.catalyst.model import DOSE, ENERGY, GelTimeModel
from analytics.catalyst.priors import Belief, GelPrior
from analytics.catalyst.regression import Spread
from analytics.physics.gel_time import dose_term
from analytics.physics.numbers import cold_term
from tests.catalyst.simulated import a_shop, log_of, records

FLAT = GelPrior(
    log_gel_min=Belief(math.log(17.5), 1e3),
    energy_kj_mol=Belief(53.0, 1e4),
    dose_power=Belief(0.8, 1e3),
    slip_share=0.0,
    lot=Spread(1e-6, 1.0, 1e-6, 1e-6, 1),
)


def energy(prior: GelPrior, gel: list[float], at_c: list[float], pct: list[float]) -> float:
    fitted = GelTimeModel(prior).fit(records(np.array(gel), np.array(at_c), np.array(pct)))
    return fitted.constant(ENERGY)[0]


def fahrenheit(degrees: float) -> float:
    return (degrees - 32.0) / 1.8


def test_bonding_paste_pot_life_gives_49_5_kj_mol() -> None:
    # Isophthalic bonding paste data sheet (maker withheld), 100:2 MEKP: 60, 45, 30 min at
    # 15, 20, 25 C. The figure 49.5 is a least-squares fit made outside this program.
    dose_unknowable = replace(FLAT, dose_power=Belief(0.8, 1e-6))
    assert energy(dose_unknowable, [60, 45, 30], [15, 20, 25], [2, 2, 2]) == pytest.approx(
        49.5, abs=0.5
    )


def test_bonding_paste_fitted_minutes_are_61_43_31() -> None:
    # Same data sheet and outside fit as above.
    prior = replace(FLAT, dose_power=Belief(0.8, 1e-6))
    fitted = GelTimeModel(prior).fit(
        records(np.array([60, 45, 30]), np.array([15, 20, 25]), np.array([2, 2, 2]))
    )
    assert np.round(fitted.predict(np.array([15.0, 20.0, 25.0]), 2.0).median).tolist() == [
        61,
        43,
        31,
    ]


def test_vinyl_ester_guide_gives_58_kj_mol() -> None:
    # Vinyl ester maker's fabrication guide: 30-40 min at 70 F become 20-25 min at 80 F;
    # mid-points 35 and 22.5 min.
    prior = replace(FLAT, dose_power=Belief(0.8, 1e-6))
    at_c = [fahrenheit(70), fahrenheit(80)]
    assert energy(prior, [35, 22.5], at_c, [1.25, 1.25]) == pytest.approx(58, abs=1.0)


@pytest.mark.parametrize(("top_c", "ratio"), [(27.5, 54), (25.0, 62)])
def test_seasonal_dose_chart_gives_energy_over_dose_power(top_c: float, ratio: float) -> None:
    # Supplier's seasonal chart for equal working time, medium MEKP: 4, 3, 2, 1 % in the bands
    # 5-13, 13-16, 16-20, 20-35 C. With n held at 1, E is E/n.
    prior = replace(FLAT, dose_power=Belief(1.0, 1e-6))
    found = energy(prior, [25.0] * 4, [9, 14.5, 18, top_c], [4, 3, 2, 1])
    assert found == pytest.approx(ratio, abs=1.0)


def test_decomposition_of_n2o5_gives_103_kj_mol() -> None:
    # Daniels and Johnston (1921) rate constants as reprinted in textbooks; E about 103 kJ/mol.
    at_c = [0.0, 25.0, 35.0, 45.0, 55.0, 65.0]
    rates = np.array([7.87e-7, 3.46e-5, 1.35e-4, 4.98e-4, 1.50e-3, 4.87e-3])
    prior = replace(FLAT, dose_power=Belief(1.0, 1e-6))
    found = energy(prior, (1.0 / rates).tolist(), at_c, [2.0] * 6)
    assert found == pytest.approx(103.0, abs=0.1)


def test_flat_beliefs_give_the_least_squares_of_statsmodels() -> None:
    rng = np.random.default_rng(4)
    log = log_of(replace(a_shop(rng), slip_share=0.0), rng, 60)
    log = records(log.gel_min, log.temperature_c, log.catalyst_pct)
    x = sm.add_constant(
        np.column_stack([cold_term(log.temperature_c), -dose_term(log.catalyst_pct)])
    )
    reference = sm.OLS(np.log(log.gel_min), x).fit()
    noise = float(np.sqrt(reference.scale))
    fitted = GelTimeModel(replace(FLAT, noise=Spread(noise, 1.0, noise, noise, 1))).fit(log)
    assert fitted.constant(ENERGY) == pytest.approx(
        (reference.params[1], reference.bse[1]), rel=1e-4
    )
    assert fitted.constant(DOSE) == pytest.approx((reference.params[2], reference.bse[2]), rel=1e-4)


def test_partly_pooled_lots_are_those_of_the_mixed_model_of_statsmodels() -> None:
    rng = np.random.default_rng(21)
    mixes, lots = 160, 16
    lot = np.arange(mixes) % lots
    at_c, pct = rng.uniform(12, 26, mixes), rng.uniform(1.2, 2.4, mixes)
    x = np.column_stack([np.ones(mixes), cold_term(at_c), -dose_term(pct)])
    offsets = rng.normal(0, 0.2, lots)
    y = x @ [3.0, 55.0, 0.75] + offsets[lot] + rng.normal(0, 0.12, mixes)
    reference = sm.MixedLM(y, x, groups=lot).fit(reml=True)
    noise, between = (
        float(np.sqrt(reference.scale)),
        float(np.sqrt(np.asarray(reference.cov_re)[0, 0])),
    )
    known = replace(
        FLAT,
        noise=Spread(noise, 1.0, noise, noise, 1),
        lot=Spread(between, 1.0, between, between, 1),
    )
    log = records(np.exp(y), at_c, pct, [f"L{i:02d}" for i in lot])
    fitted = GelTimeModel(known).fit(log)
    assert fitted.constant(ENERGY) == pytest.approx(
        (reference.fe_params[1], reference.bse_fe[1]), rel=1e-3
    )
    assert fitted.constant(DOSE) == pytest.approx(
        (reference.fe_params[2], reference.bse_fe[2]), rel=1e-3
    )
    pooled = [fitted.lot_offset(f"L{i:02d}")[0] for i in range(lots)]
    theirs = [float(np.asarray(reference.random_effects[i])[0]) for i in range(lots)]
    assert pooled == pytest.approx(theirs, abs=2e-4)


TABLE_C = (10.0, 15.0, 18.0, 20.0, 22.0, 25.0, 30.0)
TABLE_PCT = (1.0, 1.25, 1.5, 2.0, 2.5)
TABLE_MIN = (
    (65, 55, 48, 39, 33),
    (44, 37, 32, 26, 22),
    (34, 29, 25, 20, 17),
    (29, 25, 22, 17.5, 15),
    (25, 21, 19, 15, 13),
    (20, 17, 15, 12, 10),
    (14, 12, 10, 8, 7),
)


def test_table_of_a_made_up_resin_is_reproduced_to_rounding() -> None:
    # Hand-computed table for E = 55 kJ/mol, n = 0.75, 17.5 min at 20 C and 2 %.
    known = GelPrior(
        log_gel_min=Belief(math.log(17.5), 1e-6),
        energy_kj_mol=Belief(55.0, 1e-6),
        dose_power=Belief(0.75, 1e-6),
    )
    model = GelTimeModel(known).fit(records(np.array([]), np.array([]), np.array([])))
    found = [model.predict(at_c, np.array(TABLE_PCT)).median for at_c in TABLE_C]
    assert np.abs(np.array(found) - np.array(TABLE_MIN)).max() <= 0.55
