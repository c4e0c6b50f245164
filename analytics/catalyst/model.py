"""Gel time learnt from a shop's own records, starting from what the trade believes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from analytics.catalyst.normal import Floats
from analytics.catalyst.priors import NINETY_PCT_Z, GelPrior
from analytics.catalyst.regression import Design, PooledRegression
from analytics.physics.gel_time import REFERENCE_C, REFERENCE_PCT, dose_term
from analytics.physics.numbers import cold_term

START, ENERGY, DOSE, FILM, HUMIDITY = range(5)
HUMIDITY_EVIDENCE = 3.0
"""Log Bayes factor (about 20 to 1) before humidity is believed to matter."""
USUAL_HUMIDITY_PCT = 55.0
PRODUCT_SHARE = 0.5**0.5
"""The width of the prior is shared half and half (as variance) between shop and product."""
UNSURE_PRODUCT_SD = 1.0
_HELD_SD = 1e-4


@dataclass(frozen=True)
class GelRecords:
    """Logged gel times of one material, one entry per mix.

    `gel_min` [min], `temperature_c` [°C], `catalyst_pct` [mass %], `humidity_pct` [%, NaN where
    not known], `film` (True where timed on the mould, else cup or pot), `lot` and `product`
    (empty text where not known), `name` to call the record by.
    """

    gel_min: Floats
    temperature_c: Floats
    catalyst_pct: Floats
    humidity_pct: Floats
    film: np.ndarray
    lot: tuple[str, ...]
    product: tuple[str, ...]
    name: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.name)


@dataclass(frozen=True)
class SheetPoint:
    """A gel time [min] a data sheet gives at one temperature [°C] and dose [mass %]."""

    product: str
    gel_min: float
    temperature_c: float
    catalyst_pct: float


@dataclass(frozen=True)
class Prediction:
    """Gel times to expect: normal in ln(minutes), one entry per dose or temperature asked."""

    log_mean: Floats
    log_sd: Floats

    @property
    def median(self) -> Floats:
        """Gel time that half of such mixes stay under [min]."""
        return np.exp(self.log_mean)

    def interval(self) -> tuple[Floats, Floats]:
        """The 90 % interval [min] for one mix."""
        half = NINETY_PCT_Z * self.log_sd
        return np.exp(self.log_mean - half), np.exp(self.log_mean + half)

    def chance(self, low: float, high: float) -> Floats:
        """Chance [0..1] that one mix gels between `low` and `high` [min]."""
        return self._below(high) - self._below(low)

    def _below(self, minutes: float) -> Floats:
        cdf = np.vectorize(NormalDist().cdf, otypes=[float])
        return np.asarray(cdf((np.log(minutes) - self.log_mean) / self.log_sd))


class GelTimeModel:
    """ln t = a + a_product + a_lot + E cold(T) - n ln(c / 2 %) + film + noise, learnt per material.

    Learnt by `fit`: `regression_`, `lots_`, `products_` (known names), `sound_` (chance that each
    record is no slip), `held_` (names of constants the log pushed out of their bounds, which are
    held there), `humidity_` (whether the log shows humidity to matter), `records_`.
    """

    def __init__(self, prior: GelPrior | None = None) -> None:
        self.prior = prior or GelPrior()

    def fit(self, records: GelRecords, sheet: Sequence[SheetPoint] = ()) -> GelTimeModel:
        """Learn from logged gel times and data-sheet points; both may be empty."""
        self.records_ = records
        self.lots_ = tuple(sorted(set(records.lot) - {""}))
        self.sheet_products_ = frozenset(point.product for point in sheet)
        self.products_ = tuple(sorted({*records.product, *self.sheet_products_}))
        self.humidity_ = False
        design = self._design(records, sheet)
        self._learn(design)
        if np.isfinite(records.humidity_pct).sum() > self.prior.humidity_least_records:
            self._try_humidity(design)
        self.sound_ = self.regression_.sound_[: len(records)]
        return self

    def predict(
        self,
        temperature_c: float | Floats,
        catalyst_pct: float | Floats,
        *,
        lot: str = "",
        product: str = "",
        film: bool = False,
        humidity_pct: float = np.nan,
    ) -> Prediction:
        """Gel time of one more mix; an unknown lot or product widens it.

        `temperature_c` [°C] and `catalyst_pct` [mass %] are numbers or arrays of one length.
        """
        mean, variance = self._mean(temperature_c, catalyst_pct, lot, product, film, humidity_pct)
        return Prediction(mean, np.sqrt(variance + self.regression_.noise_sd_**2))

    def level(self, lot: str, product: str) -> tuple[float, float]:
        """Mean and sd of ln(gel time [min]) at 20 °C and 2 %, for this lot, without mix noise."""
        mean, variance = self._mean(REFERENCE_C, REFERENCE_PCT, lot, product, False, np.nan)
        return float(mean[0]), float(np.sqrt(variance[0]))

    def _mean(
        self,
        temperature_c: float | Floats,
        catalyst_pct: float | Floats,
        lot: str,
        product: str,
        film: bool,
        humidity_pct: float,
    ) -> tuple[Floats, Floats]:
        """Mean and variance of ln t without the noise of one mix."""
        cold, dose = np.broadcast_arrays(
            np.atleast_1d(cold_term(temperature_c)), np.atleast_1d(dose_term(catalyst_pct))
        )
        rows = cold.size
        x = self._columns(
            cold,
            dose,
            np.full(rows, float(film)),
            np.full(rows, humidity_pct),
            (lot,) * rows,
            (product,) * rows,
        )
        mean, variance = self.regression_.linear(x)
        if lot not in self.lots_:
            variance = variance + self.regression_.lot_sd_**2
        if product not in self.products_:
            variance = variance + (self.prior.log_gel_min.sd * PRODUCT_SHARE) ** 2
        return mean, variance

    def constant(self, column: int) -> tuple[float, float]:
        """Mean and sd of START (ln min at 20 °C, 2 %), ENERGY, DOSE, FILM or HUMIDITY."""
        return self.regression_.coefficient(column)

    def _columns(
        self,
        cold: Floats,
        dose: Floats,
        film: np.ndarray,
        humidity_pct: Floats,
        lot: Sequence[str],
        product: Sequence[str],
    ) -> Floats:
        damp = np.nan_to_num((humidity_pct - USUAL_HUMIDITY_PCT) / 10.0)
        law = np.column_stack([np.ones_like(cold), cold, -dose, film, damp])
        return np.hstack([law, _one_hot(product, self.products_), _one_hot(lot, self.lots_)])

    def _design(self, records: GelRecords, sheet: Sequence[SheetPoint]) -> Design:
        points = len(sheet)
        x = self._columns(
            cold_term(np.r_[records.temperature_c, [p.temperature_c for p in sheet]]),
            dose_term(np.r_[records.catalyst_pct, [p.catalyst_pct for p in sheet]]),
            np.r_[records.film, np.zeros(points)],
            np.r_[records.humidity_pct, np.full(points, np.nan)],
            (*records.lot, *[""] * points),
            (*records.product, *[p.product for p in sheet]),
        )
        mean, sd = self._beliefs()
        known_sd = np.full(len(x), np.nan)
        known_sd[len(records) :] = self.prior.sheet_log_sd
        no_lot = np.array([*(lot == "" for lot in records.lot), *[False] * points], dtype=bool)
        y = np.log(np.r_[records.gel_min, [p.gel_min for p in sheet]])
        return Design(x, y, mean, sd, len(self.lots_), no_lot, known_sd)

    def _beliefs(self) -> tuple[Floats, Floats]:
        """Prior mean and sd of every column; humidity starts switched off."""
        prior, lots = self.prior, len(self.lots_)
        law = (prior.log_gel_min, prior.energy_kj_mol, prior.dose_power, prior.film_over_cup)
        own = prior.log_gel_min.sd * PRODUCT_SHARE
        products = [
            UNSURE_PRODUCT_SD if name in self.sheet_products_ else own for name in self.products_
        ]
        mean = np.r_[[b.mean for b in law], 0.0, np.zeros(len(products) + lots)]
        sd = np.r_[own, [b.sd for b in law[1:]], _HELD_SD, products, np.ones(lots)]
        return mean, sd

    def _learn(self, design: Design) -> None:
        """Fit, then hold E or n at its bound where the log pushes it beyond what is believed."""
        prior = self.prior
        bounds = {ENERGY: prior.energy_kj_mol, DOSE: prior.dose_power}
        self.held_: tuple[int, ...] = ()
        self.regression_ = self._regress(design)
        for column, belief in bounds.items():
            mean, _ = self.regression_.coefficient(column)
            if belief.low <= mean <= belief.high:
                continue
            self.held_ += (column,)
            design = _held(design, column, min(max(mean, belief.low), belief.high), _HELD_SD)
            self.regression_ = self._regress(design)

    def _regress(self, design: Design) -> PooledRegression:
        prior = self.prior
        empty = PooledRegression(prior.noise, prior.lot, prior.slip_share, prior.slip_log_sd)
        return empty.fit(design)

    def _try_humidity(self, design: Design) -> None:
        belief = self.prior.humidity_per_10_pct
        without, held = self.regression_, self.held_
        self._learn(_held(design, HUMIDITY, belief.mean, belief.sd))
        self.humidity_ = self.regression_.log_evidence_ - without.log_evidence_ > HUMIDITY_EVIDENCE
        if not self.humidity_:
            self.regression_, self.held_ = without, held


def _held(design: Design, column: int, mean: float, sd: float) -> Design:
    """The same design with another belief about one column."""
    means, sds = design.prior_mean.copy(), design.prior_sd.copy()
    means[column], sds[column] = mean, sd
    return replace(design, prior_mean=means, prior_sd=sds)


def _one_hot(values: Sequence[str], names: Sequence[str]) -> Floats:
    return np.array([[float(value == name) for name in names] for value in values]).reshape(
        len(values), len(names)
    )
