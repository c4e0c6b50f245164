"""A fitted model and the tables it reads as bytes, to be kept beside the log they were made from.

Arrays go as npz, everything else as JSON, tables as Parquet: nothing that can run code when it is
read. A seal over the bytes tells damaged ones; `maker` says what made them.
"""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

import analytics
from analytics.diagnosis.exposure import Exposure, Floats, exposures
from analytics.diagnosis.learning import Strengths
from analytics.diagnosis.lots import LOT_RATIOS
from analytics.diagnosis.model import ShopModel
from analytics.diagnosis.trade import trade
from analytics.knowledge.model import Cause, Knowledge

SEAL = hashlib.sha256().digest_size
LEARNT_BY = ("diagnosis", "physics", "stats", "jobs.py", "records/log.py")
MADE_AGAIN = {"trade", "strengths", "exposure"}
ARRAY = "array "
"""Marks the name of an array where JSON holds one."""

Arrays = dict[str, NDArray[Any]]


class LaterExposure(Exposure):
    """The exposures of a jobs table, worked out for the rows asked for, or whole if asked whole.

    One part needs some fifty rows; a long log has a hundred thousand.
    """

    def __init__(self, causes: Sequence[Cause], jobs: pd.DataFrame) -> None:
        # past the dataclass: what its fields hold is worked out when somebody asks
        self.__dict__.update(_causes=causes, _jobs=jobs)

    @cached_property
    def _whole(self) -> Exposure:
        return exposures(self.__dict__["_causes"], self.__dict__["_jobs"])

    @property
    def grade(self) -> Floats:
        return self._whole.grade

    @property
    def known(self) -> NDArray[np.bool_]:
        return self._whole.known

    @property
    def impossible(self) -> NDArray[np.bool_]:
        return self._whole.impossible

    def of(self, rows: NDArray[np.intp] | slice) -> Exposure:
        """The exposures of some of the jobs."""
        if "_whole" in self.__dict__:
            return self._whole.of(rows)
        return exposures(self.__dict__["_causes"], self.__dict__["_jobs"].iloc[rows])


def maker(knowledge: Knowledge) -> str:
    """A short text that changes with the knowledge, and with the code that learns."""
    known = hashlib.sha256(repr(knowledge).encode()).hexdigest()[:16]
    return f"{known}/{_code()}"


@lru_cache(maxsize=1)
def _code() -> str:
    """Changes whenever the code that makes the model or the jobs table does."""
    home = Path(analytics.__file__).parent
    digest = hashlib.sha256(np.__version__.encode())
    for name in LEARNT_BY:
        found = home / name
        for path in sorted(found.glob("*.py")) if found.is_dir() else [found]:
            digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def model_bytes(model: ShopModel) -> bytes:
    """A fitted model; its exposures are left out, which the jobs table gives again."""
    arrays: Arrays = {}
    trade_ = {n: v for n, v in _fields(model.trade).items() if isinstance(v, np.ndarray)}
    own = {n: v for n, v in _fields(model).items() if n not in MADE_AGAIN}
    kept = {"trade": trade_, "strengths": [_fields(s) for s in model.strengths], "model": own}
    plain = json.dumps(_packed(kept, arrays))
    made = io.BytesIO()
    arrays["plain"] = np.frombuffer(plain.encode(), dtype=np.uint8)
    np.savez(made, allow_pickle=False, **arrays)
    return sealed(made.getvalue())


def model_of(content: bytes | None, knowledge: Knowledge, jobs: pd.DataFrame) -> ShopModel | None:
    """The model that was kept; None where there is none, or the bytes are damaged or foreign."""
    whole = _unsealed(content)
    if whole is None:
        return None
    with np.load(io.BytesIO(whole), allow_pickle=False) as arrays:
        kept = _unpacked(json.loads(arrays["plain"].tobytes()), arrays)
    kin = replace(trade(knowledge), **kept["trade"])
    own = kept["model"]
    if set(LOT_RATIOS) <= set(jobs.columns):
        # a few of the jobs bring their lots along, see `pieces`
        own["lots"] = jobs[list(LOT_RATIOS)].to_numpy()
    told = jobs.assign(**dict(zip(LOT_RATIOS, own["lots"].T, strict=True)))
    return ShopModel(
        trade=kin,
        strengths=tuple(Strengths(**one) for one in kept["strengths"]),
        exposure=LaterExposure(kin.causes, told),
        **own,
    )


def table_bytes(table: pd.DataFrame) -> bytes:
    """A table as Parquet."""
    made = io.BytesIO()
    table.to_parquet(made, engine="pyarrow", compression="lz4", index=False)
    return sealed(made.getvalue())


def table_of(content: bytes | None) -> pd.DataFrame | None:
    """The table that was kept; None where there is none, or the bytes are damaged or foreign."""
    whole = _unsealed(content)
    return None if whole is None else pd.read_parquet(io.BytesIO(whole), engine="pyarrow")


def _fields(one: Any) -> dict[str, Any]:
    return {f.name: getattr(one, f.name) for f in fields(one)}


def _packed(value: Any, arrays: Arrays) -> Any:
    """Plain JSON, its arrays put aside in `arrays`. Raises TypeError for anything else."""
    if isinstance(value, np.ndarray):
        name = f"a{len(arrays)}"
        arrays[name] = value
        return ARRAY + name
    if isinstance(value, Mapping):
        return {name: _packed(held, arrays) for name, held in value.items()}
    if isinstance(value, list | tuple):
        return [_packed(held, arrays) for held in value]
    if isinstance(value, np.generic):
        return value.item()
    if value is None or isinstance(value, bool | int | float | str):
        return value
    raise TypeError(f"a {type(value).__name__} cannot be kept with a model")


def _unpacked(value: Any, arrays: Mapping[str, NDArray[Any]]) -> Any:
    if isinstance(value, str) and value.startswith(ARRAY):
        return arrays[value.removeprefix(ARRAY)]
    if isinstance(value, dict):
        return {name: _unpacked(held, arrays) for name, held in value.items()}
    if isinstance(value, list):
        return [_unpacked(held, arrays) for held in value]
    return value


def sealed(content: bytes) -> bytes:
    return hashlib.sha256(content).digest() + content


def _unsealed(content: bytes | None) -> bytes | None:
    if content is None or hashlib.sha256(content[SEAL:]).digest() != content[:SEAL]:
        return None
    return content[SEAL:]
