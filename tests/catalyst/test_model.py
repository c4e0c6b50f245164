"""What the gel-time model learns, and what it refuses to learn."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from analytics.catalyst.doubts import slips, steepness_warning
from analytics.catalyst.gel_records import GelRecords, SheetPoint
from analytics.catalyst.model import ENERGY, FILM, GelTimeModel
from analytics.catalyst.priors import Belief, GelPrior
from tests.catalyst.simulated import Shop, a_shop, log_of, records
from tests.catalyst.trade import the_trade

NOTHING = records(np.array([]), np.array([]), np.array([]))


def a_steady_shop(**facts: float) -> Shop:
    law = {"level_min": 20.0, "energy_kj_mol": 55.0, "dose_power": 0.75, "noise_sd": 0.15}
    return Shop(**{**law, **facts}, lot_offsets=np.zeros(30), slip_share=0.0)  # type: ignore[arg-type]


def test_beliefs_come_from_the_knowledge_in_force() -> None:
    shipped = GelPrior.of(the_trade().constants, "resin")
    energy, power = shipped.energy_kj_mol, shipped.dose_power
    assert (energy.mean, energy.sd, energy.low, energy.high) == (53.0, 7.0, 35.0, 75.0)
    assert (power.mean, power.sd, power.low, power.high) == (0.8, 0.2, 0.3, 1.2)
    assert math.exp(shipped.log_gel_min.mean) == pytest.approx(17.5)
    assert (shipped.lot.middle, shipped.noise.middle) == (0.15, 0.2)


def test_with_no_record_the_figure_is_the_trade_estimate_and_wide() -> None:
    expected = GelTimeModel().fit(NOTHING).predict(20.0, 2.0)
    low, high = expected.interval()
    assert expected.median[0] == pytest.approx(17.5)
    assert high[0] / low[0] > 3.0


def test_a_data_sheet_point_moves_and_narrows_the_figure() -> None:
    sheet = [SheetPoint("A", 35.0, 25.0, 1.5)]
    blind = GelTimeModel().fit(NOTHING).predict(25.0, 1.5, product="A")
    told = GelTimeModel().fit(NOTHING, sheet).predict(25.0, 1.5, product="A")
    assert told.median[0] == pytest.approx(35.0, rel=0.1)
    assert told.log_sd[0] < blind.log_sd[0]


def test_a_data_sheet_point_does_not_speak_for_another_product() -> None:
    told = GelTimeModel().fit(NOTHING, [SheetPoint("A", 60.0, 20.0, 2.0)])
    assert told.predict(20.0, 2.0, product="B").median[0] < 30.0


def test_warm_day_shortens_gel_time_and_more_catalyst_too() -> None:
    model = GelTimeModel().fit(NOTHING)
    by_temperature = model.predict(np.array([12.0, 18.0, 25.0]), 1.5).median
    by_dose = model.predict(20.0, np.array([1.0, 1.5, 2.5])).median
    assert np.all(np.diff(by_temperature) < 0)
    assert np.all(np.diff(by_dose) < 0)


def test_many_records_find_the_shop_s_own_law() -> None:
    shop = a_steady_shop(level_min=28.0)
    models = [GelTimeModel().fit(log_of(shop, np.random.default_rng(s), 300)) for s in range(10)]
    levels = [model.predict(20.0, 2.0).median[0] for model in models]
    energies = [model.constant(ENERGY)[0] for model in models]
    noises = [model.regression_.noise_sd_ for model in models]
    assert np.mean(levels) == pytest.approx(28.0, rel=0.03)
    assert np.mean(energies) == pytest.approx(55.0, abs=2.0)
    assert np.mean(noises) == pytest.approx(0.15, abs=0.02)


def test_a_lot_that_gels_slowly_is_known_by_its_own_records() -> None:
    rng = np.random.default_rng(2)
    shop = replace(a_steady_shop(), lot_offsets=np.array([0.0, 0.4, *[0.0] * 8]))
    model = GelTimeModel().fit(log_of(shop, rng, 120))
    slow, usual = (model.predict(20.0, 2.0, lot=lot).median[0] for lot in ("L1", "L0"))
    assert slow / usual == pytest.approx(math.exp(0.4), rel=0.12)


def test_an_unknown_lot_widens_the_interval() -> None:
    rng = np.random.default_rng(3)
    model = GelTimeModel().fit(log_of(a_shop(rng), rng, 100))
    known, unknown = model.predict(20.0, 2.0, lot="L0"), model.predict(20.0, 2.0, lot="L99")
    assert unknown.log_sd[0] > known.log_sd[0]


def test_a_tenfold_slip_is_set_aside_by_name_and_changes_little() -> None:
    rng = np.random.default_rng(5)
    clean = log_of(a_steady_shop(), rng, 40)
    slipped = replace(clean, gel_min=np.where(np.arange(40) == 7, 10.0, 1.0) * clean.gel_min)
    model, reference = GelTimeModel().fit(slipped), GelTimeModel().fit(clean)
    assert [slip.record for slip in slips(model)] == ["B8"]
    assert model.predict(20.0, 2.0).median[0] == pytest.approx(
        reference.predict(20.0, 2.0).median[0], rel=0.02
    )


def test_hardly_a_sound_record_is_set_aside() -> None:
    shop, seeds = a_steady_shop(), range(10)
    fitted = [GelTimeModel().fit(log_of(shop, np.random.default_rng(s), 200)) for s in seeds]
    assert sum(len(slips(model)) for model in fitted) <= 0.002 * 2000


def test_a_blog_s_24_fold_speed_up_in_15_degrees_is_refused() -> None:
    # A blog's reading of a chart: 4 % at 5 C 120 min, at 20 C 5 min. Arrhenius: 144 kJ/mol.
    suspect = records(np.array([120, 5]), np.array([5, 20]), np.array([4, 4]))
    model = GelTimeModel().fit(suspect)
    told = steepness_warning(suspect, model.prior)
    assert [slip.record for slip in slips(model)] == ["B1"]
    assert "120 min at 5 °C and 4 %" in slips(model)[0].reason
    assert model.constant(ENERGY)[0] == pytest.approx(53.0, abs=3.0)
    assert told is not None
    assert "144 kJ/mol" in told


def test_two_believable_records_are_not_called_too_steep() -> None:
    believable = records(np.array([45, 30]), np.array([20, 25]), np.array([2, 2]))
    assert steepness_warning(believable, GelPrior()) is None


def test_temperature_effect_is_held_where_the_log_goes_beyond_belief() -> None:
    rng = np.random.default_rng(7)
    model = GelTimeModel().fit(log_of(a_steady_shop(energy_kj_mol=10.0), rng, 300))
    assert model.held_ == (ENERGY,)
    assert model.constant(ENERGY)[0] == pytest.approx(35.0, abs=0.01)


def test_shuffled_gel_times_show_no_temperature_effect() -> None:
    rng = np.random.default_rng(8)
    log = log_of(a_steady_shop(), rng, 200)
    flat = GelPrior(energy_kj_mol=Belief(0.0, 1e4), dose_power=Belief(0.8, 1e3))
    found = []
    for _ in range(20):
        mixed = rng.permutation(200)
        model = GelTimeModel(flat).fit(replace(log, gel_min=log.gel_min[mixed]))
        mean, sd = model.constant(ENERGY)
        found.append(mean / sd)
    assert np.abs(np.mean(found)) < 0.7
    assert np.mean(np.abs(found) < 2.0) >= 0.9


def test_order_of_records_does_not_matter() -> None:
    rng = np.random.default_rng(9)
    log = log_of(a_shop(rng), rng, 50)
    turned = _picked(log, np.arange(50)[::-1])
    one, other = (GelTimeModel().fit(each).predict(17.0, 1.6) for each in (log, turned))
    assert one.median[0] == pytest.approx(other.median[0], rel=1e-9)


def with_humidity(log: GelRecords, effect: float, rng: np.random.Generator) -> GelRecords:
    humidity = rng.uniform(30.0, 90.0, len(log))
    slowed = log.gel_min * np.exp(effect * (humidity - 55.0) / 10.0)
    return replace(log, humidity_pct=humidity, gel_min=slowed)


@pytest.mark.parametrize(("mixes", "effect", "believed"), [(30, 0.2, False), (90, 0.1, True)])
def test_humidity_needs_more_than_thirty_records(mixes: int, effect: float, believed: bool) -> None:
    rng = np.random.default_rng(10)
    log = with_humidity(log_of(a_steady_shop(), rng, mixes), effect, rng)
    assert GelTimeModel().fit(log).humidity_ is believed


def test_humidity_is_not_believed_where_it_does_nothing() -> None:
    for seed in range(10):
        rng = np.random.default_rng(seed)
        log = with_humidity(log_of(a_steady_shop(), rng, 90), 0.0, rng)
        assert GelTimeModel().fit(log).humidity_ is False


def test_damp_air_lengthens_gel_once_the_log_shows_it() -> None:
    rng = np.random.default_rng(11)
    log = with_humidity(log_of(a_steady_shop(), rng, 120), 0.1, rng)
    model = GelTimeModel().fit(log)
    dry, damp = (model.predict(20.0, 2.0, humidity_pct=rh).median[0] for rh in (40.0, 80.0))
    assert damp / dry == pytest.approx(math.exp(0.4), rel=0.1)


def test_film_over_cup_is_the_trade_s_until_both_are_logged() -> None:
    rng = np.random.default_rng(12)
    log = log_of(a_steady_shop(), rng, 60)
    both = replace(log, film=np.arange(60) % 2 == 0)
    timed = replace(both, gel_min=both.gel_min * np.where(both.film, 1.4, 1.0))
    prior, _ = GelTimeModel().fit(log).constant(FILM)
    learnt, _ = GelTimeModel().fit(timed).constant(FILM)
    assert math.exp(prior) == pytest.approx(1.8, abs=0.05)
    assert math.exp(learnt) == pytest.approx(1.4, abs=0.12)


def test_film_times_alone_say_little_about_the_cup() -> None:
    rng = np.random.default_rng(13)
    log = log_of(a_steady_shop(), rng, 60)
    film_only = GelTimeModel().fit(replace(log, film=np.ones(60, dtype=bool)))
    film, cup = (film_only.predict(20.0, 2.0, film=where) for where in (True, False))
    assert cup.log_sd[0] > film.log_sd[0]


@pytest.mark.parametrize(("mixes", "shops"), [(0, 60), (5, 60), (20, 40), (200, 25)])
def test_nine_of_ten_held_out_gel_times_fall_in_the_interval(mixes: int, shops: int) -> None:
    inside = []
    for seed in range(shops):
        rng = np.random.default_rng([seed, mixes])
        shop = a_shop(rng)
        model = GelTimeModel().fit(log_of(shop, rng, mixes))
        at_c, pct = rng.uniform(10.0, 27.0, 20), rng.uniform(1.0, 2.5, 20)
        unseen = rng.integers(16, 30, 20)
        gel = shop.true_min(at_c, pct, unseen) * np.exp(rng.normal(0.0, shop.noise_sd, 20))
        low, high = model.predict(at_c, pct).interval()
        inside.append(np.mean((gel >= low) & (gel <= high)))
    assert 0.85 <= np.mean(inside) <= 0.95


def _picked(log: GelRecords, rows: np.ndarray) -> GelRecords:
    return GelRecords(
        gel_min=log.gel_min[rows],
        temperature_c=log.temperature_c[rows],
        catalyst_pct=log.catalyst_pct[rows],
        humidity_pct=log.humidity_pct[rows],
        film=log.film[rows],
        lot=tuple(log.lot[i] for i in rows),
        product=tuple(log.product[i] for i in rows),
        name=tuple(log.name[i] for i in rows),
    )


def in_groups(log: GelRecords, effect: float, field: str = "colour") -> GelRecords:
    """The same log with every other mix black (or of another catalyst), which gels slower."""
    black = np.arange(len(log)) % 2 == 0
    slowed = log.gel_min * np.exp(effect * black)
    return replace(log, gel_min=slowed, **{field: tuple(np.where(black, "black", "white"))})


@pytest.mark.parametrize("field", ["colour", "catalyst_lot"])
def test_colour_or_catalyst_lot_gets_an_offset_once_the_log_shows_it(field: str) -> None:
    rng = np.random.default_rng(14)
    log = in_groups(log_of(a_steady_shop(), rng, 120), 0.3, field)
    model = GelTimeModel().fit(log)
    assert model.groups_ == {field: ("black", "white")}
    slow, quick = (
        model.predict(20.0, 2.0, **{field: which}).median[0] for which in ("black", "white")
    )
    assert slow / quick == pytest.approx(math.exp(0.3), rel=0.1)


def test_colour_that_does_nothing_gets_no_offset() -> None:
    for seed in range(10):
        log = in_groups(log_of(a_steady_shop(), np.random.default_rng(seed), 120), 0.0)
        assert GelTimeModel().fit(log).groups_ == {}


def test_colour_of_three_mixes_gets_no_offset() -> None:
    log = log_of(a_steady_shop(), np.random.default_rng(15), 40)
    few = tuple("black" if i < 3 else "white" for i in range(40))
    slowed = log.gel_min * np.where(np.arange(40) < 3, 2.0, 1.0)
    assert GelTimeModel().fit(replace(log, colour=few, gel_min=slowed)).groups_ == {}


def test_colour_not_said_widens_the_interval_where_colours_differ() -> None:
    log = in_groups(log_of(a_steady_shop(), np.random.default_rng(14), 120), 0.3)
    model = GelTimeModel().fit(log)
    said, unsaid = (model.predict(20.0, 2.0, colour=which).log_sd[0] for which in ("black", ""))
    assert unsaid > said


def test_suspect_point_among_sound_ones_is_named_and_changes_nothing() -> None:
    # The same blog's cold point, 4 % at 5 C 120 min, written into a shop's own log.
    log = log_of(a_steady_shop(), np.random.default_rng(16), 40)
    one = records(np.array([120.0]), np.array([5.0]), np.array([4.0]), ["L0"])
    both = GelRecords(
        *(np.concatenate([getattr(log, f), getattr(one, f)])
          for f in ("gel_min", "temperature_c", "catalyst_pct", "humidity_pct", "film")),
        lot=log.lot + one.lot, product=("",) * 41, name=(*log.name, "G"),
    )  # fmt: skip
    model, without = GelTimeModel().fit(both), GelTimeModel().fit(log)
    assert [slip.record for slip in slips(model)] == ["G"]
    assert model.predict(20.0, 2.0).median[0] == pytest.approx(
        without.predict(20.0, 2.0).median[0], rel=0.02
    )
