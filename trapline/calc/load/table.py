"""A question about a load as columns of counts, and counts as a load."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from trapline.calc.load.counts import Counting
from trapline.calc.load.kinds import Floats, Kind, Stay, expected
from trapline.calc.load.question import STEPS, Carried, Load, Question

# A device with more spares than this is a plan for another trip.
_MOST_KITS = 6
_OF_COLUMNS = [name for name in STEPS if name != "money"]


class Table:
    """The question as columns: a kind with so many kits each, then what must be bought."""

    def __init__(self, question: Question) -> None:
        self.kinds, self.stay, self.limits = question.kinds, question.stay, question.limits
        self.columns = [
            (k, kits) for k, kind in enumerate(self.kinds) for kits in _kits(kind, self.stay)
        ]
        n, kinds = len(self.columns), len(self.kinds)
        self.spare = np.array([(kits or 1) - 1 for _, kits in self.columns], dtype=float)
        self.of = np.array([k for k, _ in self.columns], dtype=int)
        self.catches = [expected(self.kinds[k], self.stay, kits) for k, kits in self.columns]
        worth = np.asarray(question.worth, dtype=np.float64)
        gain = np.concatenate(([float(c @ worth) for c in self.catches], np.zeros(2 * kinds)))
        self.groups = np.zeros((kinds, n + 2 * kinds))
        self.groups[self.of, np.arange(n)] = 1
        rows, limits = self._rows()
        most = np.concatenate((np.full(n, float(self.limits.sets)), np.full(2 * kinds, np.inf)))
        most[n : n + kinds] = self.limits.sets
        sold = [float(kind.kit is not None and kind.kit.sold) for kind in self.kinds]
        most[n + kinds :] = np.array(sold) * (self.limits.sets * _MOST_KITS)
        self.problem = Counting(gain, rows, limits, most)

    def _rows(self) -> tuple[Floats, Floats]:
        """Uses and limits: those of STEPS but for money, then money, stock, kits, counts, law."""
        n, g, limits = len(self.columns), len(self.kinds), self.limits
        none = np.zeros(2 * g)
        rows = [np.concatenate((self._used(name), none)) for name in _OF_COLUMNS]
        upper = [float(getattr(limits, name)) for name in _OF_COLUMNS]
        prices = [one.price for one in self.kinds]
        of_kits = [one.kit.price if one.kit else 0.0 for one in self.kinds]
        rows.append(np.concatenate((np.zeros(n), prices, of_kits)))
        upper.append(limits.money)
        for k, kind in enumerate(self.kinds):
            bought = self.groups[k].copy()
            bought[n + k] = -1  # what the team does not own is bought
            spares = np.zeros(n + 2 * g)
            spares[:n] = np.where(self.of == k, self.spare, 0)
            spares[n + g + k] = -1
            rows += [self.groups[k], bought, spares]
            most = float("inf") if kind.most is None else kind.most
            upper += [most, kind.have, kind.kit.have if kind.kit else 0]
        for keys, together in limits.law:
            rows.append(self.groups[[kind.key in keys for kind in self.kinds]].sum(axis=0))
            upper.append(together)
        return np.array(rows), np.array(upper, dtype=np.float64)

    def _used(self, name: str) -> list[float]:
        """What one of each column uses of a limit."""
        return [self._of_column(name, i) for i in range(len(self.columns))]

    def _of_column(self, name: str, i: int) -> float:
        kind = self.kinds[self.columns[i][0]]
        if name == "sets":
            return 1.0
        if name == "check_min":
            caught = float(self.catches[i].sum())
            return kind.check_min + kind.tend_min * caught / self.stay.checks
        if name == "set_up_min":
            return kind.set_up_min
        of_kit = getattr(kind.kit, name) if kind.kit else 0.0
        return float(getattr(kind, name) + of_kit * self.spare[i])

    def load(self, counts: Floats) -> Load:
        """A plan from counts of columns. What is bought is what is lacking, never more."""
        n = len(self.columns)
        used = dict(zip(_OF_COLUMNS, (self.problem.uses @ counts).tolist(), strict=False))
        carried = tuple(
            one for k in range(len(self.kinds)) if (one := self._carried(k, counts[:n])).devices
        )
        prices = {kind.key: (kind.price, kind.kit.price if kind.kit else 0) for kind in self.kinds}
        used["money"] = sum(
            one.to_buy * prices[one.key][0] + one.kits_to_buy * prices[one.key][1]
            for one in carried
        )
        return Load(carried, float(self.problem.gain[:n] @ counts[:n]), used)

    def _carried(self, k: int, counts: Floats) -> Carried:
        kind, mine = self.kinds[k], self.of == k
        devices = int(counts[mine].sum())
        spare = int(counts[mine] @ self.spare[mine])
        catches = counts[mine] @ np.array(self.catches)[mine]
        own = float(counts[mine] @ self.problem.gain[: len(counts)][mine])
        kits_have = kind.kit.have if kind.kit else 0
        return Carried(
            kind.key, devices, spare, max(0, devices - kind.have), max(0, spare - kits_have),
            catches, own,
        )  # fmt: skip


def _kits(kind: Kind, stay: Stay) -> Sequence[int | None]:
    """How many kits a device may be carried with: none to count where a catch spends nothing."""
    if kind.kit is None:
        return (None,)
    return range(1, min(stay.checks, _MOST_KITS) + 1)
