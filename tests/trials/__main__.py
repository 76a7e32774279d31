"""Run the trials and print what they gave: python -m tests.trials [seasons]"""

from __future__ import annotations

import sys
import time

from tests.trials.seasons import PLANS, shrinkage_coverage, tally


def main(seasons: int) -> None:
    say = sys.stdout.write
    say(f"{seasons} seasons each; coverage of 95 % limits, bias of the mean fit\n")
    for plan in PLANS:
        begun = time.perf_counter()
        told = tally(plan, seasons, seed=2026)
        say(
            f"{plan.name:26} {plan.expected:6.1f} expected  given {told.given / seasons:6.1%}"
            f"  covers {told.coverage:6.1%}  bias {told.bias(plan.rate):+6.1%}"
            f"  | equal rates: covers {told.equal_coverage:6.1%}"
            f"  bias {told.equal_bias(plan.rate):+6.1%}  bound {told.bound_bias(plan.rate):+6.1%}"
            f"  {told.methods}  {time.perf_counter() - begun:.0f} s\n"
        )
    for members in (6, 9, 12):
        for cv in (0.3, 0.8):
            share = shrinkage_coverage(members, cv, max(seasons // 10, 20), seed=2026)
            say(f"shrinkage, {members:2} members, cv {cv}: covers {share:6.1%}\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
