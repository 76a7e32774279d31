"""The device-fit table: what holds an animal and what endangers it. A team's rows stand first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any
from uuid import UUID

import yaml

from trapline.findings.models import Fit, FitSource

TOLERANCE_M = 0.00635  # a quarter of an inch: makers' sizes of one number differ so much and more


@dataclass(frozen=True)
class FitRow:
    """One row. `from_m`, `to_m`: no bound where None; with neither, nothing is said."""

    device_class: str
    species: str
    what: str
    from_m: float | None
    to_m: float | None
    placements: tuple[str, ...]
    source: str
    status: str

    @property
    def key(self) -> tuple[str, str, str]:
        return self.device_class, self.species, self.what


FitTable = Mapping[tuple[str, str, str], FitRow]


@cache
def shipped() -> FitTable:
    """The rows that come with the program (fit.yaml)."""
    text = files("trapline.findings").joinpath("fit.yaml").read_text(encoding="utf-8")
    return {row.key: row for told in yaml.safe_load(text) for row in _rows(told)}


@lru_cache(maxsize=64)
def fit_of(team: UUID, stamp: int) -> FitTable:
    """The table as a team has it. One statement, the first time under a rule stamp.

    A change of the table raises the stamp, so what is kept here is never old.
    """
    table = dict(shipped())
    for row in Fit.objects.filter(team_id=team):
        own = FitRow(
            row.device_class, row.species_code, row.what, row.from_m, row.to_m,
            tuple(row.placements), row.source, FitSource.TEAM,
        )  # fmt: skip
        table[own.key] = own
    return table


def _rows(told: Mapping[str, Any]) -> Iterator[FitRow]:
    for species in told["species"]:
        yield FitRow(
            told["class"], species, told["what"], told.get("from"), told.get("to"),
            tuple(told.get("placements", ())), told["source"], told["status"],
        )  # fmt: skip
