"""Check forms are read from a rulebook's plain parameters, and refused by field."""

from __future__ import annotations

from typing import Any

import pytest

from trapline.calc.deadlines import FormError, TimeOfDay, from_params

GOOD: list[tuple[str, dict[str, Any]]] = [
    ("within_hours", {"hours": 24}),
    ("each_day", {"by": "10:00"}),
    ("every_days", {"days": 3, "no_tending": {"from": "22:00", "to": "05:00"}}),
    ("each_week", {"first_weekday": 6}),
    ("by_temperature", {"rows": [{"from_c": -9, "to_c": 5, "hours": 2}], "nothing_below_c": -10}),
    ("monitored", {"status_hours": 24, "visit_hours": 24}),
    ("none", {}),
]


@pytest.mark.parametrize(("form", "params"), GOOD)
def test_every_form_is_read(form: str, params: dict[str, Any]) -> None:
    made = from_params(form, params)
    assert made.form == form
    assert hash(made) == hash(from_params(form, params)) and made == from_params(form, params)


def test_a_time_of_day_is_a_clock_time_or_a_sun_event_with_a_clock_time_to_fall_back_on() -> None:
    sun = {"sun": "sunset", "offset_min": 120, "otherwise": "18:00"}
    made = from_params("each_day", {"by": sun, "between": {"from": "05:30", "to": sun}})
    assert made.by == TimeOfDay(18 * 60, "sunset", 120)
    assert made.between == (TimeOfDay(5 * 60 + 30), TimeOfDay(18 * 60, "sunset", 120))
    assert made.needs_place
    assert not from_params("each_day", {"by": "10:00"}).needs_place


def test_a_parameter_set_to_null_is_as_good_as_left_out() -> None:
    assert from_params("each_day", {"by": None}) == from_params("each_day", {})


SUN = {"sun": "sunset", "otherwise": "18:00"}
ROW = {"from_c": 0, "to_c": 5, "hours": 2}


@pytest.mark.parametrize(
    ("form", "params", "field", "code"),
    [
        ("hourly", {}, "form", "unknown"),
        ("within_hours", {}, "hours", "missing"),
        ("within_hours", {"hours": 0}, "hours", "range"),
        ("within_hours", {"hours": -1}, "hours", "range"),
        ("within_hours", {"hours": 10_000}, "hours", "range"),
        ("within_hours", {"hours": float("nan")}, "hours", "number"),
        ("within_hours", {"hours": float("inf")}, "hours", "number"),
        ("within_hours", {"hours": True}, "hours", "number"),
        ("within_hours", {"hours": "24"}, "hours", "number"),
        ("within_hours", {"hours": 24, "by": "10:00"}, "by", "unknown"),
        ("within_hours", {"hours": 24, "between": {}}, "between", "unknown"),
        ("each_day", {"days": 1}, "days", "unknown"),
        ("every_days", {"days": 0}, "days", "range"),
        ("every_days", {"days": 1.5}, "days", "whole_number"),
        ("every_days", {"days": True}, "days", "whole_number"),
        ("each_week", {"first_weekday": 7}, "first_weekday", "range"),
        ("each_day", {"by": "24:00"}, "by", "clock"),
        ("each_day", {"by": "9:00"}, "by", "clock"),
        ("each_day", {"by": "10:00\n"}, "by", "clock"),
        ("each_day", {"by": 10}, "by", "table"),
        ("each_day", {"by": {"otherwise": "18:00"}}, "by.sun", "missing"),
        ("each_day", {"by": {"sun": "moonrise", "otherwise": "18:00"}}, "by.sun", "event"),
        ("each_day", {"by": {"sun": ["sunset"], "otherwise": "18:00"}}, "by.sun", "event"),
        ("each_day", {"by": {"sun": "sunset"}}, "by.otherwise", "missing"),
        ("each_day", {"by": SUN | {"otherwise": "late"}}, "by.otherwise", "clock"),
        ("each_day", {"by": SUN | {"offset_min": 721}}, "by.offset_min", "range"),
        ("each_day", {"by": SUN | {"offset": 5}}, "by.offset", "unknown"),
        ("each_day", {"between": "day"}, "between", "table"),
        ("each_day", {"between": {"from": "05:00"}}, "between.to", "missing"),
        ("each_day", {"between": {"from": "05:00", "to": "05:00"}}, "between.to", "same"),
        ("each_day", {"between": {"from": SUN, "to": SUN}}, "between.to", "same"),
        ("each_day", {"between": {"from": SUN, "to": "18:00"}}, "between.to", "same"),
        ("none", {"no_tending": {"from": "5", "to": "22:00"}}, "no_tending.from", "clock"),
        ("by_temperature", {}, "rows", "missing"),
        ("by_temperature", {"rows": []}, "rows", "table"),
        ("by_temperature", {"rows": [3]}, "rows.0", "table"),
        ("by_temperature", {"rows": [ROW, ROW | {"to_c": -1}]}, "rows.1.to_c", "order"),
        ("by_temperature", {"rows": [ROW | {"note": 1}]}, "rows.0.note", "unknown"),
        (
            "by_temperature",
            {"rows": [ROW], "nothing_below_c": 5, "nothing_above_c": 5},
            "nothing_above_c",
            "order",
        ),
        ("monitored", {"status_hours": 24}, "visit_hours", "missing"),
    ],
)
def test_a_parameter_that_cannot_be_read_is_refused_by_its_field(
    form: str, params: dict[str, Any], field: str, code: str
) -> None:
    with pytest.raises(FormError) as caught:
        from_params(form, params)
    assert (caught.value.field, caught.value.code) == (field, code)
    assert isinstance(caught.value, ValueError) and str(caught.value).startswith(field)


def test_parameters_that_are_no_mapping_are_refused() -> None:
    with pytest.raises(FormError, match="params"):
        from_params("each_day", ["by"])  # type: ignore[arg-type]


def test_a_form_cannot_be_changed() -> None:
    made: Any = from_params("each_day", {})
    with pytest.raises(AttributeError):
        made.days = 7
