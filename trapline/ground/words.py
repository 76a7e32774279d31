"""Codes as sentences that can be translated. Nothing else in the house makes a sentence.

A sentence says what is wrong and what to do next. `%(name)s` takes a problem's value.
tests/house/test_sentences.py reads the source for every code that can be raised.
"""

from collections.abc import Mapping
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trapline.ground.errors import Problem
from trapline.ground.words_of_files import FILE_WORDS
from trapline.ground.words_of_imports import IMPORT_WORDS
from trapline.ground.words_of_kept import KEPT_WORDS
from trapline.ground.words_of_problems import PROBLEM_WORDS, SHAPE_WORDS
from trapline.ground.words_of_requests import REQUEST_WORDS, TITLES

Words = Mapping[str, str | Promise]

ACT_WORDS: Words = {
    "draw_line": gettext_lazy("Draw a line"),
    "place_set": gettext_lazy("Place a set"),
    "log_check": gettext_lazy("Log a check"),
    "correct_check": gettext_lazy("Correct a check"),
    "attach_photo": gettext_lazy("Attach a photograph"),
    "animal_waiting": gettext_lazy("Animal waiting"),
    "close_waiting": gettext_lazy("Animal no longer waiting"),
    "open_stop_page": gettext_lazy("Open the stop page"),
    "pull_set": gettext_lazy("Pull a set"),
    "close_as_lost": gettext_lazy("Close a set as lost"),
    "hand_over": gettext_lazy("Hand a set over"),
    "give_evidence": gettext_lazy("Show that a duty is done"),
    "build_device": gettext_lazy("Build a device"),
    "strip_device": gettext_lazy("Take a device apart"),
    "replace_part": gettext_lazy("Replace a part"),
    "keep_device": gettext_lazy("Lend, take back, write off a device"),
    "tag_gear": gettext_lazy("Tag a device or a part"),
    "stock_parts": gettext_lazy("Take parts into stock"),
    "put_parts": gettext_lazy("Put parts away"),
    "pick_gear": gettext_lazy("Set gear aside for a load"),
    "fill_pick": gettext_lazy("Fill a pick list"),
    "drop_pick": gettext_lazy("Drop a pick list"),
    "take_reading": gettext_lazy("Take a reading"),
    "take_signal": gettext_lazy("Note a monitor’s signal"),
    "take_rulebook": gettext_lazy("Take a rulebook"),
    "grant_extension": gettext_lazy("Note an officer’s extension"),
    "close_by_notice": gettext_lazy("Close a species by notice"),
    "reopen_by_notice": gettext_lazy("Open a species again by notice"),
    "spend_number": gettext_lazy("Set a number aside"),
    "issue_numbers": gettext_lazy("Issue numbers"),
    "move_pelts": gettext_lazy("Move pelts on"),
    "judge_meat": gettext_lazy("Say whether meat is fit"),
    "share_meat": gettext_lazy("Say who ate it"),
    "set_food_value": gettext_lazy("Set a row of the food table"),
    "take_sample": gettext_lazy("Take a sample"),
    "hand_in_samples": gettext_lazy("Hand samples in"),
    "take_back": gettext_lazy("Take an entry back"),
    "enrol_member": gettext_lazy("Enrol a member"),
    "change_member": gettext_lazy("Change a member"),
    "give_licence": gettext_lazy("Enter a licence"),
    "give_paper": gettext_lazy("Enter an agent’s paper"),
    "name_skill": gettext_lazy("Name a skill"),
    "name_part_kind": gettext_lazy("Name a kind of part"),
    "name_device_kind": gettext_lazy("Name a kind of device"),
    "keep_permission": gettext_lazy("Keep a permission"),
    "withdraw_permission": gettext_lazy("End a permission"),
    "set_renewal_days": gettext_lazy("Set when permissions are renewed"),
    "draw_feature": gettext_lazy("Draw a feature of the land"),
    "drop_feature": gettext_lazy("Take a feature off the land"),
    "import_features": gettext_lazy("Import features of the land"),
    "set_notice_stages": gettext_lazy("Set who is told when"),
    "acknowledge_finding": gettext_lazy("Acknowledge a finding"),
    "set_device_fit": gettext_lazy("Set a row of the device-fit table"),
    "file_report": gettext_lazy("File a report"),
    "take_report_form": gettext_lazy("Take a report form"),
    "settle_act": gettext_lazy("Settle an act under review"),
    "sign_off": gettext_lazy("Sign a member off"),
    "end_sign_off": gettext_lazy("End a sign-off"),
}

FLAG_WORDS: Words = {
    "clock_disagrees": gettext_lazy("The device’s clock and the time of sending disagree."),
    "far_from_set": gettext_lazy("The phone was far from the set, by its own position."),
    "tended_in_forbidden_hours": gettext_lazy("Tended in hours in which a rule forbids it."),
    "outside_visiting_window": gettext_lazy("Outside the hours in which a rule counts a visit."),
    "dispatcher_not_signed_off": gettext_lazy("Dispatched by someone not signed off for it."),
    "agent_may_not_tend": gettext_lazy(
        "Tended under another’s licence without a rule or a paper that lets them."
    ),
    "agent_may_not_kill": gettext_lazy(
        "Dispatched under another’s licence without a rule or a paper that lets them."
    ),
    "agent_may_not_carry": gettext_lazy(
        "Carried home under another’s licence without a rule or a paper that lets them."
    ),
    "agent_may_not_tag": gettext_lazy(
        "Tagged under another’s licence without a rule or a paper that lets them."
    ),
    # These say how a check came in; nothing about it looks wrong.
    "correction": gettext_lazy("Corrects an earlier entry."),
    "withdrawn": gettext_lazy("Withdraws an earlier entry."),
    "reviewed": gettext_lazy("Taken in by a reviewer."),
}


class _Told(dict[str, Any]):
    """A value that was not given shows as an ellipsis; a sentence never fails."""

    def __missing__(self, key: str) -> str:
        return "…"


def sentence(problem: Problem) -> str:
    """The problem's sentence in the language in force. An unknown code is shown as it is."""
    values = _Told({name: _plain(value) for name, value in problem.values.items()})
    text = _text(problem.code)
    if text is None:
        said = values.get("said")
        text = _("This cannot be taken as it is (%(code)s).") % {"code": problem.code}
        return f"{text} {said}" if said else text
    told = str(text) % values
    if "line" in problem.values and isinstance(problem.values["line"], int):
        told = _("Line %(line)s: %(told)s") % {"line": values["line"], "told": told}
    return told


def title(code: str) -> str:
    """The title of a kind of problem that an answer of the API names."""
    return str(TITLES[code])


def known(code: str) -> bool:
    """Whether there is a sentence for a code."""
    return _text(code) is not None


def act_words(kind: str) -> str:
    """What a kind of act does, in words."""
    return str(ACT_WORDS.get(kind, kind))


def flag_words(flag: str) -> str:
    """What a flag on a check says."""
    return str(FLAG_WORDS.get(flag, flag))


def _text(code: str) -> str | Promise | None:
    if code.startswith("shape_"):
        return SHAPE_WORDS.get(code.removeprefix("shape_"), SHAPE_WORDS["other"])
    if code.startswith("constraint_"):
        named = PROBLEM_WORDS.get(code, KEPT_WORDS.get(code))
        return PROBLEM_WORDS["constraint"] if named is None else named
    books = (PROBLEM_WORDS, FILE_WORDS, REQUEST_WORDS, IMPORT_WORDS, KEPT_WORDS)
    return next((book[code] for book in books if code in book), None)


def _plain(value: Any) -> Any:
    if isinstance(value, list | tuple | set):
        return ", ".join(str(one) for one in value)
    return value
