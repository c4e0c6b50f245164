"""Gel time learnt from a shop's own records, starting from what the trade believes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist
from types import MappingProxyType

import numpy as np

from analytics.catalyst.gel_records import GelRecords, SheetPoint
from analytics.catalyst.normal import Floats
from analytics.catalyst.priors import NINETY_PCT_Z, GelPrior
from analytics.catalyst.regression import Design, PooledRegression
from analytics.physics.gel_time import REFERENCE_C, REFERENCE_PCT, dose_term
from analytics.physics.numbers import cold_term

START, ENERGY, DOSE, FILM, HUMIDITY = range(5)
ENOUGH_EVIDENCE = 3.0
"""Log Bayes factor (about 20 to 1) before humidity, catalyst lot or colour counts."""
GROUPS = ("catalyst_lot", "colour")
LEAST_IN_GROUP = 4
"""Gel times before a catalyst lot or a colour may have an offset of its own."""
USUAL_HUMIDITY_PCT = 55.0
PRODUCT_SHARE = 0.5**0.5
"""The width of the prior is shared half and half (as variance) between shop and product."""
UNSURE_PRODUCT_SD = 1.0
_HELD_SD = 1e-4


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
    held there), `humidity_` (whether the log shows humidity to matter), `groups_` (the names of
    the catalyst lots and colours with an offset, where the log shows those to matter), `records_`.
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
        self.groups_: dict[str, tuple[str, ...]] = {}
        self._sheet = tuple(sheet)
        self._learn(self._design(records, sheet))
        for group in GROUPS:
            self._try_group(group)
        if np.isfinite(records.humidity_pct).sum() > self.prior.humidity_least_records:
            self._try_humidity(self._design(records, sheet))
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
        catalyst_lot: str = "",
        colour: str = "",
    ) -> Prediction:
        """Gel time of one more mix; an unknown lot or product widens it.

        `temperature_c` [°C] and `catalyst_pct` [mass %] are numbers or arrays of one length.
        """
        said = {"catalyst_lot": catalyst_lot, "colour": colour}
        mean, variance = self._mean(
            temperature_c, catalyst_pct, lot, product, film, humidity_pct, said
        )
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
        said: Mapping[str, str] = MappingProxyType({}),
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
            {group: (said.get(group, ""),) * rows for group in self.groups_},
        )
        mean, variance = self.regression_.linear(x)
        if lot not in self.lots_:
            variance = variance + self.regression_.lot_sd_**2
        if product not in self.products_:
            variance = variance + (self.prior.log_gel_min.sd * PRODUCT_SHARE) ** 2
        for group, names in self.groups_.items():
            if said.get(group, "") not in names:
                variance = variance + self.prior.group_sd[group] ** 2
        return mean, variance

    def lot_offset(self, lot: str) -> tuple[float, float]:
        """Mean and sd of ln(this lot's gel time over the usual lot's of its product).

        The spread between lots with a mean of 0 for a lot that has no record.
        """
        if lot not in self.lots_:
            return 0.0, self.regression_.lot_sd_
        columns = len(self.regression_.mean_)
        return self.regression_.coefficient(columns - len(self.lots_) + self.lots_.index(lot))

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
        said: Mapping[str, Sequence[str]],
    ) -> Floats:
        damp = np.nan_to_num((humidity_pct - USUAL_HUMIDITY_PCT) / 10.0)
        law = np.column_stack([np.ones_like(cold), cold, -dose, film, damp])
        offsets = [_one_hot(said[group], names) for group, names in self.groups_.items()]
        return np.hstack(
            [law, _one_hot(product, self.products_), *offsets, _one_hot(lot, self.lots_)]
        )

    def _design(self, records: GelRecords, sheet: Sequence[SheetPoint]) -> Design:
        points = len(sheet)
        x = self._columns(
            cold_term(np.r_[records.temperature_c, [p.temperature_c for p in sheet]]),
            dose_term(np.r_[records.catalyst_pct, [p.catalyst_pct for p in sheet]]),
            np.r_[records.film, np.zeros(points)],
            np.r_[records.humidity_pct, np.full(points, np.nan)],
            (*records.lot, *[""] * points),
            (*records.product, *[p.product for p in sheet]),
            {group: (*records.group(group), *[""] * points) for group in self.groups_},
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
        groups = [prior.group_sd[group] for group, names in self.groups_.items() for _ in names]
        mean = np.r_[[b.mean for b in law], 0.0, np.zeros(len(products) + len(groups) + lots)]
        sd = np.r_[own, [b.sd for b in law[1:]], _HELD_SD, products, groups, np.ones(lots)]
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
        self.humidity_ = self._better(_held(design, HUMIDITY, belief.mean, belief.sd))

    def _try_group(self, group: str) -> None:
        """Give the names of a group offsets of their own where the log clearly asks for it."""
        counts = Counter(self.records_.group(group))
        names = tuple(sorted(name for name, n in counts.items() if name and n >= LEAST_IN_GROUP))
        if len(names) < 2:
            return
        without = dict(self.groups_)
        self.groups_ = {**without, group: names}
        if not self._better(self._design(self.records_, self._sheet)):
            self.groups_ = without

    def _better(self, design: Design) -> bool:
        """Learn from another design; keep it only where the evidence for it is clear."""
        without, held = self.regression_, self.held_
        self._learn(design)
        if self.regression_.log_evidence_ - without.log_evidence_ > ENOUGH_EVIDENCE:
            return True
        self.regression_, self.held_ = without, held
        return False


def _held(design: Design, column: int, mean: float, sd: float) -> Design:
    """The same design with another belief about one column."""
    means, sds = design.prior_mean.copy(), design.prior_sd.copy()
    means[column], sds[column] = mean, sd
    return replace(design, prior_mean=means, prior_sd=sds)


def _one_hot(values: Sequence[str], names: Sequence[str]) -> Floats:
    place = {name: at for at, name in enumerate(names)}
    at = np.array([place.get(value, -1) for value in values], dtype=np.intp)
    return (at[:, None] == np.arange(len(names))).astype(np.float64)
