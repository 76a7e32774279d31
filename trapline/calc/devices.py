"""How a kind of device did: efficiency as a range, selectivity and alive on arrival as shares.

A team's few figures never certify or fail a device.
"""

from __future__ import annotations

from dataclasses import dataclass

from trapline.calc.rates import Limits, wilson

# At least 60 % of the target animals that spring a device are caught and held: criterion of the
# best management practices for trapping in the United States (White et al. 2021, Wildl. Monogr.
# 207:3-59; figure as the programme's public page gives it).
PUBLISHED_EFFICIENCY = 0.60


@dataclass(frozen=True)
class Share:
    """A share with Wilson limits; `share` None where nothing was counted."""

    count: int
    of: int
    share: float | None
    limits: Limits | None


def share(count: int, of: int, confidence: float = 0.95) -> Share:
    """`count` out of `of`. ValueError when it is more."""
    if not 0 <= count <= of:
        raise ValueError("count: from 0 to all of them is needed")
    if of == 0:
        return Share(0, 0, None, None)
    return Share(count, of, count / of, wilson(count, of, confidence))


@dataclass(frozen=True)
class Efficiency:
    """Held out of sprung by an animal: at least, if every unknown sign was an animal; at most,
    if none was."""

    least: Share
    most: Share


def efficiency(held: int, escaped: int, unknown: int) -> Efficiency:
    """held: animals held; escaped: sprung empty with an animal's sign; unknown: without a sign
    that can be read. Weather and misfires are no animals and are left out."""
    return Efficiency(share(held, held + escaped + unknown), share(held, held + escaped))
