"""A problem's code becomes a sentence; nothing that comes with it can break it."""

from trapline.ground.errors import Problem
from trapline.ground.words import act_words, flag_words, known, sentence


def test_a_sentence_takes_the_problems_values() -> None:
    told = sentence(Problem("name", "name_taken", {"name": "Creek line"}))
    assert told == "There already is one called Creek line. Choose another name."


def test_a_value_with_a_percent_sign_stays_as_it_is() -> None:
    told = sentence(Problem("name", "name_taken", {"name": "100%(x)s %d"}))
    assert "100%(x)s %d" in told


def test_a_value_that_was_not_given_shows_as_an_ellipsis() -> None:
    assert "called …" in sentence(Problem("name", "name_taken", {}))


def test_a_problem_in_a_file_is_told_with_its_line() -> None:
    told = sentence(Problem("rules.3.code", "rulebook_instead_circle", {"code": "a", "line": 12}))
    assert told.startswith("Line 12: ")


def test_a_list_of_values_is_told_with_commas() -> None:
    told = sentence(Problem("x", "no_such_filter", {"filters": ["a", "b"]}))
    assert told.endswith("There are: a, b.")


def test_a_code_that_nobody_knows_is_told_as_it_is() -> None:
    assert not known("never_heard_of")
    assert "never_heard_of" in sentence(Problem("x", "never_heard_of", {}))


def test_a_shape_that_has_no_sentence_of_its_own_says_what_was_found() -> None:
    told = sentence(Problem("x", "shape_date_from_datetime_inexact", {"said": "a date it is not"}))
    assert "a date it is not" in told


def test_a_kind_and_a_flag_that_nobody_knows_are_shown_as_they_are() -> None:
    assert act_words("log_check") == "Log a check"
    assert act_words("never_heard_of") == "never_heard_of"
    assert flag_words("never_heard_of") == "never_heard_of"
