"""The load: equal to trying everything, never worse for more room, and honest about single use."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.calc.load_oracle import best_gain, mean_catches
from trapline.calc.load.around import alone, one_more_by_law, one_more_of_a_kind
from trapline.calc.load.kinds import Kind, Kit, Stay, expected
from trapline.calc.load.plan import answer
from trapline.calc.load.question import Limits, Question

STAY = Stay(nights=1.0, checks=5)
SNARE = Kind("snare", 0.05, 0.2, 6, 3, (0.06, 0.02), tend_min=8, kit=Kit(0.03, 0.1, 1.4, have=4),
             have=24, price=3)  # fmt: skip
BODY = Kind("body", 0.9, 1.5, 10, 3, (0.11, 0.01), tend_min=5, have=12, price=20)
FOOT = Kind("foothold", 1.0, 1.2, 12, 3, (0.08, 0.05), tend_min=10, have=10, price=25)


def asked(*kinds: Kind, worth: tuple[float, ...] = (1.0, 0.0), **limits: object) -> Question:
    stated = {"sets": 30, "mass_kg": 6.0} | limits
    return Question(kinds or (SNARE, BODY, FOOT), STAY, worth, Limits(**stated))  # type: ignore[arg-type]


def some_question(rng: random.Random) -> Question:
    """A small question of one to three kinds, with any of the limits."""
    kinds = []
    for number in range(rng.randint(1, 3)):
        kit = Kit(rng.choice([0.02, 0.5]), 0.1, rng.choice([0.0, 2.0]), rng.randint(0, 3))
        kinds.append(
            Kind(
                f"kind {number}", round(rng.uniform(0.1, 2), 3), round(rng.uniform(0, 2), 2),
                rng.randint(1, 20), rng.randint(1, 9),
                (rng.choice([0, 0.1, 0.4]), rng.random() / 4),
                empty=rng.random() / 5, tend_min=rng.randint(0, 9), in_service=rng.random(),
                price=rng.choice([0.0, 4.0]), have=rng.randint(0, 3),
                most=rng.choice([None, 1, 2]), kit=kit if rng.random() < 0.4 else None,
            )
        )  # fmt: skip
    keys = frozenset(kind.key for kind in kinds[:2])
    return Question(
        tuple(kinds),
        Stay(rng.choice([1.0, 2.5]), rng.randint(1, 2)),
        (rng.choice([0.0, 1.0]), rng.random()),
        Limits(
            sets=rng.randint(0, 3),
            mass_kg=rng.choice([float("inf"), round(rng.uniform(0, 5), 2)]),
            volume_l=rng.choice([float("inf"), round(rng.uniform(0, 5), 2)]),
            set_up_min=rng.choice([float("inf"), rng.uniform(0, 50)]),
            check_min=rng.choice([float("inf"), rng.uniform(0, 20)]),
            money=rng.choice([0.0, 8.0, float("inf")]),
            law=((keys, rng.randint(0, 3)),) if rng.random() < 0.3 else (),
        ),
    )


def test_the_plan_gains_what_trying_every_load_finds_on_500_questions() -> None:
    rng, apart = random.Random(20), []
    for number in range(500):
        question = some_question(rng)
        found = answer(question)
        want, _ = best_gain(question, question.limits.sets)
        if abs(found.plan.gain - want) > 1e-9:
            apart.append((number, question, found.plan.gain, want))
        assert found.runner_up is None or found.runner_up.gain <= found.plan.gain + 1e-9
        assert found.runner_up is None or found.runner_up.counts != found.plan.counts
    assert apart == []


def test_the_runner_up_is_the_best_of_all_other_mixes() -> None:
    question = asked(BODY, FOOT, sets=3, mass_kg=2.9)
    found = answer(question)
    gains = {}
    for body in range(4):
        for foot in range(4):
            if body + foot <= 3 and 0.9 * body + 1.0 * foot <= 2.9:
                per = [expected(kind, STAY)[0] for kind in (BODY, FOOT)]
                gains[body, foot] = body * per[0] + foot * per[1]
    order = sorted(gains.values(), reverse=True)
    assert found.plan.gain == pytest.approx(order[0])
    assert found.runner_up is not None
    assert found.runner_up.gain == pytest.approx(order[1])


MORE = st.floats(0, 5)


@settings(max_examples=120, deadline=None)
@given(st.integers(0, 10_000), MORE, st.sampled_from(["mass_kg", "volume_l", "money", "sets"]))
def test_more_room_never_worsens_what_is_gained(seed: int, more: float, limit: str) -> None:
    question = some_question(random.Random(seed))
    room = getattr(question.limits, limit) + (int(more) if limit == "sets" else more)
    wider = replace(question, limits=replace(question.limits, **{limit: room}))
    assert answer(wider).plan.gain >= answer(question).plan.gain - 1e-9


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000))
def test_a_plan_keeps_every_limit_and_says_what_it_uses(seed: int) -> None:
    question = some_question(random.Random(seed))
    plan = answer(question).plan
    for name, used in plan.used.items():
        limit = getattr(question.limits, name)
        assert used <= limit + 1e-6 * max(1.0, abs(limit)), name
    for kind in question.kinds:
        assert plan.counts.get(kind.key, 0) <= (99 if kind.most is None else kind.most)
    for keys, together in question.limits.law:
        assert sum(plan.counts.get(key, 0) for key in keys) <= together


@pytest.mark.parametrize("kits", [None, 1, 2, 3, 5, 9])
def test_a_device_catches_what_a_sum_over_all_outcomes_says(kits: int | None) -> None:
    kind = replace(SNARE, empty=0.03, in_service=0.7)
    want = mean_catches(kind, STAY, kits)
    assert expected(kind, STAY, kits) == pytest.approx(want, abs=1e-12)


def test_a_single_use_device_without_a_spare_catches_once_at_most() -> None:
    sure = replace(SNARE, rates=(50.0, 0.0))
    assert expected(sure, STAY, 1)[0] == pytest.approx(1)
    assert expected(sure, STAY, 3)[0] == pytest.approx(3)
    assert expected(replace(sure, kit=None), STAY)[0] == pytest.approx(5)


def test_a_lighter_pack_is_filled_with_snares_and_a_heavier_one_takes_traps_too() -> None:
    light = answer(asked(mass_kg=1.0)).plan.counts
    heavy = answer(asked(mass_kg=14.0)).plan.counts
    assert set(light) == {"snare"}
    assert heavy.get("body", 0) > 0


def test_what_binds_is_what_a_little_more_would_gain_by() -> None:
    found = answer(asked(BODY, mass_kg=4.5))
    assert found.binds == ["mass_kg"]
    wider = answer(asked(BODY, mass_kg=5.5))
    assert found.more["mass_kg"] == pytest.approx(wider.plan.gain - found.plan.gain)
    assert found.more["sets"] == 0


def test_the_plan_turns_where_the_leading_kinds_rate_has_fallen_so_far() -> None:
    question = asked(BODY, FOOT, sets=4, mass_kg=4.0, worth=(1.0, 0.0))
    found = answer(question)
    assert found.leading == "body"
    assert found.turns_at is not None
    assert found.runner_up is not None
    scaled = {one.key: one.gain for one in found.plan.carried}
    theirs = {one.key: one.gain for one in found.runner_up.carried}
    at = found.turns_at
    ours = found.plan.gain - scaled["body"] + at * scaled["body"]
    other = found.runner_up.gain - theirs.get("body", 0) + at * theirs.get("body", 0)
    assert ours == pytest.approx(other)


def test_only_what_is_lacking_is_bought_and_within_the_money() -> None:
    few = replace(BODY, have=1)
    assert answer(asked(few, money=0.0)).plan.counts == {"body": 1}
    found = answer(asked(few, money=45.0)).plan
    assert found.counts == {"body": 3}
    assert (found.carried[0].to_buy, found.used["money"]) == (2, 40)


def test_a_kit_that_nobody_sells_is_carried_only_as_far_as_there_are_some() -> None:
    kit = Kit(0.03, 0.1, 0.0, have=3, sold=False)
    few = answer(asked(replace(SNARE, kit=kit), mass_kg=50.0)).plan.carried[0]
    assert (few.spare_kits, few.kits_to_buy) == (3, 0)
    many = answer(asked(replace(SNARE, kit=replace(kit, sold=True)), mass_kg=50.0)).plan.carried[0]
    assert many.spare_kits > 3


def test_the_laws_count_holds_over_kinds_together() -> None:
    law = ((frozenset({"body", "foothold"}), 3),)
    counts = answer(asked(BODY, FOOT, mass_kg=50.0, law=law)).plan.counts
    assert sum(counts.values()) == 3


def test_one_more_by_law_or_at_hand_adds_what_trying_every_load_finds() -> None:
    law = ((frozenset({"body", "foothold"}), 2),)
    few = replace(FOOT, have=1, most=1)
    question = asked(BODY, few, sets=3, mass_kg=9.0, law=law)
    plan = answer(question).plan
    more = replace(question, kinds=(BODY, replace(few, have=2, most=2)))
    looser = replace(question, limits=replace(question.limits, law=((law[0][0], 3),)))
    before, _ = best_gain(question, 3)
    assert one_more_of_a_kind(question, plan) == {
        "foothold": pytest.approx(best_gain(more, 3)[0] - before)
    }
    assert one_more_by_law(question, plan) == [pytest.approx(best_gain(looser, 3)[0] - before)]


def test_a_class_alone_gains_what_it_would_without_the_others() -> None:
    question = asked(mass_kg=4.0)
    found = alone(question, {"snares": ["snare"], "traps": ["body", "foothold"], "none": []})
    assert found == {
        "snares": pytest.approx(answer(asked(SNARE, mass_kg=4.0)).plan.gain),
        "traps": pytest.approx(answer(asked(BODY, FOOT, mass_kg=4.0)).plan.gain),
        "none": 0.0,
    }
    assert answer(question).plan.gain >= max(found.values())


def test_ten_of_seven_hundred_grams_fit_into_seven_kilograms() -> None:
    kind = replace(BODY, mass_kg=0.7)
    assert answer(asked(kind, mass_kg=7.0)).plan.counts == {"body": 10}


def test_nothing_to_carry_is_an_answer() -> None:
    assert answer(Question((), STAY, (1.0,), Limits(sets=3))).plan.carried == ()
    assert answer(asked(mass_kg=0.0)).plan.carried == ()


@pytest.mark.parametrize(
    ("question", "names"),
    [
        (asked(replace(BODY, mass_kg=0.0)), "body"),
        (asked(replace(BODY, price=-1.0)), "body"),
        (asked(replace(BODY, in_service=1.5)), "body"),
        (asked(replace(BODY, rates=(0.1,))), "worth"),
        (asked(BODY, replace(FOOT, rates=(0.1,))), "foothold"),
        (asked(mass_kg=-1.0), "mass_kg"),
        (asked(mass_kg=float("nan")), "mass_kg"),
        (asked(sets=float("inf")), "sets"),
        (asked(worth=(float("nan"), 0.0)), "worth"),
        (replace(asked(), stay=Stay(0.0, 3)), "stay"),
    ],
)
def test_what_cannot_be_is_refused_by_name(question: Question, names: str) -> None:
    with pytest.raises(ValueError, match=names):
        answer(question)


def test_catches_of_each_species_stand_in_the_plan() -> None:
    carried = answer(asked(BODY, mass_kg=1.0)).plan.carried
    assert carried[0].catches == pytest.approx(expected(BODY, STAY))
    assert np.sum(carried[0].catches) > carried[0].gain  # only the first species counts
