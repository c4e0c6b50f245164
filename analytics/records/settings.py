"""The figures reading rests on: the shop's own where it gave them, else those of fields.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from analytics.records.fields import dictionary
from analytics.units import Densities


@dataclass(frozen=True)
class ReadSettings:
    """Densities [g/ml], drop size [ml] and what "overnight" stands for [h].

    `sources` says where each figure is from, by its id in fields.toml.
    """

    densities: Densities
    overnight_h: float
    sources: Mapping[str, str]

    @staticmethod
    def of(given: Mapping[str, Any] | None = None) -> ReadSettings:
        """The settings with the shop's own figures, by their ids in fields.toml, put in."""
        figures = dictionary().figures
        own = {key: float(value) for key, value in (given or {}).items() if key in figures}
        value = {key: own.get(key, figure.value) for key, figure in figures.items()}
        sources = {
            key: "the shop's own setting" if key in own else dictionary().sources[figure.source]
            for key, figure in figures.items()
        }
        densities = Densities(value["catalyst_g_ml"], value["resin_g_ml"], value["drop_ml"])
        return ReadSettings(densities, value["overnight_h"], sources)
