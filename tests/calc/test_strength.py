"""The weakest part of an assembly."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from trapline.calc.strength.chain import BEARING, Link, falls_short, weakest

CABLE = Link("cable", "cable 3/32", 4092.0)
LOCK = Link("lock", "lock", 3000.0)
SWIVEL = Link("swivel", "swivel", 2669.0)
LINK = Link("breakaway", "breakaway", 1300.0)
SUPPORT = Link("support", "support wire", 100.0)


def test_an_assembly_is_as_strong_as_its_weakest_bearing_part() -> None:
    found = weakest([CABLE, LOCK, SWIVEL, SUPPORT])
    assert (found.load_n, found.weakest, found.sure) == (2669.0, (SWIVEL,), True)


def test_a_breakaway_that_opens_first_is_meant_to() -> None:
    found = weakest([CABLE, LOCK, SWIVEL, LINK])
    assert found.meant
    assert (found.load_n, found.without_breakaway_n) == (1300.0, 2669.0)
    assert falls_short(found, 2000.0) is False


def test_a_cable_weaker_than_the_breakaway_is_not_meant() -> None:
    found = weakest([Link("cable", "thin", 900.0), LINK])
    assert not found.meant
    assert falls_short(found, 1000.0) is True


def test_a_part_of_unknown_load_leaves_only_an_upper_bound() -> None:
    found = weakest([CABLE, Link("lock", "lock", None)])
    assert (found.load_n, found.sure) == (4092.0, False)
    assert falls_short(found, 5000.0) is True
    assert falls_short(found, 4000.0) is None


def test_nothing_known_says_nothing() -> None:
    found = weakest([Link("cable", "cable", None), SUPPORT])
    assert (found.load_n, found.weakest, found.meant) == (None, (), False)
    assert falls_short(found, 1.0) is None


LINKS = st.lists(
    st.builds(
        Link,
        st.sampled_from(["cable", "lock", "swivel", "breakaway", "frame", "support"]),
        st.just("x"),
        st.none() | st.floats(1, 10_000),
    ),
    max_size=8,
)


@given(LINKS, LINKS)
def test_more_parts_never_make_it_stronger(some: list[Link], more: list[Link]) -> None:
    one, both = weakest(some), weakest([*some, *more])
    if one.load_n is not None:
        assert both.load_n is not None
        assert both.load_n <= one.load_n
    assert weakest([*more, *some]).load_n == both.load_n
    assert all(link.role in BEARING for link in both.weakest)
