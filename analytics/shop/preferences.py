"""What a shop chose once for every screen and print: metric or US units."""

from __future__ import annotations

from analytics.errors import QuestionError
from analytics.saying import SYSTEMS, System
from analytics.shop.base import OpenShop

SETTING = "units"


class Preferences(OpenShop):
    """How this shop wants its figures said; what is kept and given to programs stays metric."""

    def units(self) -> System:
        """The units chosen; metric until somebody chose."""
        kept = self.store.setting(SETTING)
        return next((system for system in SYSTEMS if system == kept), "metric")

    def set_units(self, system: str) -> None:
        """Say everything in these units from now on. Raises QuestionError for any but the two."""
        if system not in SYSTEMS:
            raise QuestionError(f'"{system}" is no choice of units; say {" or ".join(SYSTEMS)}.')
        self.store.set_setting(SETTING, system)
