"""Sets as columns: what rules are weighed on."""

from dataclasses import dataclass
from uuid import UUID

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Sets:
    """Some active sets as columns, in the order the database gave them."""

    team: UUID
    ids: tuple[UUID, ...]
    visit_us: NDArray[np.int64]
    by_placing: NDArray[np.bool_]
    placed_us: NDArray[np.int64]
    lat: NDArray[np.float64]
    lon: NDArray[np.float64]
    tz: NDArray[np.object_]
    responsible: tuple[UUID, ...]
    stamp: int
    version: UUID | None = None  # the rulebook's, that was read with them
