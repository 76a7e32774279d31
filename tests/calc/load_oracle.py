"""The best load by trying every one: plain Python, sharing no code with the program."""

from __future__ import annotations

from itertools import product
from math import comb, exp, inf

from trapline.calc.load.kinds import Kind, Stay
from trapline.calc.load.question import Question


def mean_catches(kind: Kind, stay: Stay, kits: int | None) -> list[float]:
    """Catches of one device by summing the binomial term by term."""
    catching = sum(kind.rates)
    total = catching + kind.empty
    q = 0.0
    if total > 0:
        q = catching / total * (1 - exp(-total * stay.nights * kind.in_service))
    mean = 0.0
    for caught in range(stay.checks + 1):
        chance = comb(stay.checks, caught) * q**caught * (1 - q) ** (stay.checks - caught)
        mean += chance * (caught if kits is None else min(caught, kits))
    return [mean * rate / catching if catching else 0.0 for rate in kind.rates]


def best_gain(question: Question, most: int) -> tuple[float, dict[str, int]]:
    """The greatest gain and devices by kind, over every load of at most so many of a column."""
    columns = []
    for kind in question.kinds:
        choices = [None] if kind.kit is None else range(1, min(question.stay.checks, 6) + 1)
        columns += [(kind, kits) for kits in choices]
    means = [mean_catches(kind, question.stay, kits) for kind, kits in columns]
    gains = [sum(m * w for m, w in zip(mean, question.worth, strict=True)) for mean in means]
    found, counts_of = 0.0, dict.fromkeys((kind.key for kind in question.kinds), 0)
    for counts in product(range(most + 1), repeat=len(columns)):
        gain = sum(n * each for n, each in zip(counts, gains, strict=True))
        if gain > found + 1e-12 and _allowed(question, columns, means, counts):
            found = gain
            counts_of = {
                kind.key: sum(n for n, (k, _) in zip(counts, columns, strict=True) if k is kind)
                for kind in question.kinds
            }
    return found, counts_of


def _allowed(question: Question, columns, means, counts) -> bool:  # type: ignore[no-untyped-def]
    limits, checks = question.limits, question.stay.checks
    mass = volume = set_up = check = money = 0.0
    devices = {kind.key: 0 for kind in question.kinds}
    spares = dict(devices)
    for n, (kind, kits), mean in zip(counts, columns, means, strict=True):
        spare = (kits or 1) - 1
        devices[kind.key] += n
        spares[kind.key] += n * spare
        mass += n * (kind.mass_kg + (kind.kit.mass_kg * spare if kind.kit else 0))
        volume += n * (kind.volume_l + (kind.kit.volume_l * spare if kind.kit else 0))
        set_up += n * kind.set_up_min
        check += n * (kind.check_min + kind.tend_min * sum(mean) / checks)
    for kind in question.kinds:
        if devices[kind.key] > (inf if kind.most is None else kind.most):
            return False
        money += kind.price * max(0, devices[kind.key] - kind.have)
        if kind.kit:
            money += kind.kit.price * max(0, spares[kind.key] - kind.kit.have)
    for keys, together in limits.law:
        if sum(devices[key] for key in keys) > together:
            return False
    used = (sum(devices.values()), mass, volume, set_up, check, money)
    room = (limits.sets, limits.mass_kg, limits.volume_l, limits.set_up_min, limits.check_min,
            limits.money)  # fmt: skip
    return all(have <= may + 1e-6 * max(1.0, may) for have, may in zip(used, room, strict=True))
