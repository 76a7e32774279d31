"""`manage.py first_manager`: a new team and the person who runs it, asked for or given."""

import os
from collections.abc import Callable
from dataclasses import dataclass
from getpass import getpass
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.validators import RegexValidator, slug_re, validate_email
from django.utils.text import slugify

from trapline.ground import clock
from trapline.ground.errors import NeedsReview
from trapline.ground.words import sentence
from trapline.people.models import Person
from trapline.record.beginning import begin_team

Answers = dict[str, str]
SIGN_IN_NAME = UnicodeUsernameValidator(
    message="A sign-in name has letters, digits and the signs @ . + - _ only."
)
ADDRESS = RegexValidator(
    slug_re, message="An address has letters, digits, hyphens and underscores only."
)


def _filled(value: str, answers: Answers) -> None:
    if not value:
        raise ValidationError("This is needed.")
    if len(value) > 120:
        raise ValidationError("At most 120 characters fit.")


def _address(value: str, answers: Answers) -> None:
    _filled(value, answers)
    if len(value) > 50:
        raise ValidationError("At most 50 characters fit.")
    ADDRESS(value)


def _sign_in_name(value: str, answers: Answers) -> None:
    _filled(value, answers)
    SIGN_IN_NAME(value)


def _email(value: str, answers: Answers) -> None:
    if value:
        validate_email(value)


def _password(value: str, answers: Answers) -> None:
    _filled(value, answers)
    person = Person(sign_in_name=answers.get("sign_in_name", ""), name=answers.get("name", ""))
    validate_password(value, person)


@dataclass(frozen=True)
class Question:
    """One thing to know: its name among the answers, how it is asked, what it must be."""

    key: str
    asked: str
    check: Callable[[str, Answers], None]
    secret: bool = False

    @property
    def variable(self) -> str:
        return f"LINEWARD_{self.key.upper()}"

    @property
    def option(self) -> str:
        return "--" + self.key.replace("_", "-")


QUESTIONS = (
    Question("team", "Name of the team or class", _filled),
    Question("address", "Its address: letters, digits, hyphens; it stands in links", _address),
    Question("name", "Your name", _filled),
    Question("sign_in_name", "Your sign-in name", _sign_in_name),
    Question("email", "Your e-mail address, for notices (may stay empty)", _email),
    Question("password", "Your password", _password, secret=True),
)


class Command(BaseCommand):
    help = (
        "Make a team and its first manager. With --no-input nothing is asked: each answer comes "
        "from its option or from LINEWARD_TEAM, LINEWARD_ADDRESS, LINEWARD_NAME, "
        "LINEWARD_SIGN_IN_NAME and LINEWARD_EMAIL, the password only from LINEWARD_PASSWORD, since "
        "everybody on the machine can read a command's options."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-input", "--noinput", action="store_false", dest="interactive")
        for question in QUESTIONS:
            if not question.secret:
                parser.add_argument(question.option, help=question.asked)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            answers = self._asked(options) if options["interactive"] else self._given(options)
        except (KeyboardInterrupt, EOFError):
            raise CommandError("Nothing was made. Call first_manager again.") from None
        try:
            begin_team(
                team_name=answers["team"], slug=answers["address"], name=answers["name"],
                sign_in_name=answers["sign_in_name"], password=answers["password"],
                email=answers["email"], moment=clock.now(),
            )  # fmt: skip
        except NeedsReview as error:
            raise CommandError(sentence(error.problem)) from None
        self.stdout.write(
            f"{answers['team']} is there, at /t/{answers['address']}/. Sign in as "
            f"{answers['sign_in_name']}; the rules come next."
        )

    def _given(self, options: dict[str, Any]) -> Answers:
        """What options and environment say; everything that is wrong with it at once."""
        answers: Answers = {}
        wrong = []
        for question in QUESTIONS:
            said = options.get(question.key)
            value = os.environ.get(question.variable, "") if said is None else str(said)
            answers[question.key] = value if question.secret else value.strip()
            if told := _wrong(question, answers):
                where = question.variable
                if not question.secret:
                    where = f"{question.option} (or {where})"
                wrong.append(f"{where}: {told}")
        if wrong:
            raise CommandError("\n".join(wrong))
        return answers

    def _asked(self, options: dict[str, Any]) -> Answers:
        """One question after the other, each until its answer will do."""
        answers: Answers = {}
        for question in QUESTIONS:
            said = options.get(question.key)
            while True:
                answers[question.key] = self._answer(question, answers) if said is None else said
                said = None
                told = _wrong(question, answers)
                if not told and question.secret:
                    again = getpass("The same again: ")
                    told = "" if again == answers[question.key] else "The two are not the same."
                if not told:
                    break
                self.stderr.write(f"  {told}")
        return answers

    def _answer(self, question: Question, answers: Answers) -> str:
        if question.secret:
            return getpass(f"{question.asked}: ")
        usual = slugify(answers["team"])[:50] if question.key == "address" else ""
        value = input(f"{question.asked}{f' [{usual}]' if usual else ''}: ").strip()
        return value or usual


def _wrong(question: Question, answers: Answers) -> str:
    """What is wrong with an answer, in sentences; empty when nothing is."""
    try:
        question.check(answers[question.key], answers)
    except ValidationError as error:
        return " ".join(str(message) for message in error.messages)
    return ""
