"""Doses written as what went into one pot, by the mass of that pot."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analytics.records.cells import Finding
from analytics.records.coded import Coded
from analytics.records.fields import dictionary
from analytics.records.number_columns import plausible
from analytics.records.number_findings import range_text
from analytics.units import Densities, dose_basis, pot_dose_pct


@dataclass
class PotDoses:
    """A column of doses with the masses beside it: `doses` [% by mass] and `basis` are filled in.

    `masses` [kg] is None where the table has no mass of mix.
    """

    doses: NDArray[np.float64]
    basis: NDArray[np.object_]
    masses: object
    densities: Densities

    def settle(
        self, cells: Coded, pots: Mapping[int, tuple[float, str]]
    ) -> Iterator[tuple[Finding, tuple[int, ...]]]:
        """Work out the doses of these cell texts; gives what has no mass or cannot be right."""
        field = dictionary().get("batch", "catalyst_pct")
        if self.masses is None and len(pots) > 1:
            yield _no_masses(cells, list(pots)), ()
            return
        for code, (amount, unit) in pots.items():
            rows = np.flatnonzero(cells.codes == code)
            found = self._found(amount, unit, rows)
            good = np.array([plausible(dose, field) for dose in found], dtype=np.bool_)
            self.doses[rows[good]] = found[good]
            self.basis[rows[good]] = dose_basis(unit, self.densities)
            if not good.all():
                yield _no_pot(cells.texts[code]), tuple(rows[~good].tolist())

    def _found(self, amount: float, unit: str, rows: NDArray[np.intp]) -> NDArray[np.float64]:
        if self.masses is None:
            return np.full(len(rows), np.nan)
        masses = np.asarray(self.masses, dtype=float)[rows]
        return np.array(
            [pot_dose_pct(amount, unit, m, self.densities) if m > 0 else np.nan for m in masses]
        )


def _no_masses(cells: Coded, codes: list[int]) -> Finding:
    """One finding for a column of such doses where no column gives the mass of the mix."""
    one = _no_pot(cells.texts[codes[0]])
    rows = int(cells.counts[codes].sum())
    found = f'{rows} doses for a whole pot, the first "{one.found}", and no mass of the mix'
    return replace(one, found=found)


def _no_pot(text: str) -> Finding:
    field = dictionary().get("batch", "catalyst_pct")
    return Finding(
        "ask",
        text,
        f"{field.name}, {range_text(field)}, or the mass of the mix beside it",
        "left unknown. Write the mass of resin in the same row, or the dose in %.",
    )
