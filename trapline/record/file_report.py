"""File a report: freeze what it says, once, with the versions of its inputs; take a form in."""

from datetime import date
from typing import Annotated
from uuid import UUID

from pydantic import Field, StringConstraints

from trapline.duties.models import OPEN, Duty
from trapline.duties.models import Kind as DutyKind
from trapline.duties.single import close_one
from trapline.ground.errors import Held, NeedsReview
from trapline.people.models import Licence, Team
from trapline.record.acting import Body, Desk, Kind
from trapline.reports.filed import form_of, newest_of
from trapline.reports.form import digest, read_form
from trapline.reports.models import Filing, FormTaken
from trapline.reports.period import Period
from trapline.reports.reconcile import reconcile
from trapline.reports.snapshot import freeze
from trapline.rulebook.models import Version

Stripped = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)]


class FileReport(Body):
    """`seen`: the SHA-256 of the report as its signer saw it. `duty`: the one it closes."""

    filing: UUID
    form: str = Field(max_length=60)
    licence: UUID
    first: date
    last: date
    seen: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    signed: Annotated[Stripped, Field(min_length=1)]
    note: Annotated[str, Field(max_length=2000)] = ""
    amends: UUID | None = None
    duty: UUID | None = None


def file_report(desk: Desk, body: FileReport) -> None:
    licence = Licence.objects.filter(id=body.licence).first()
    if licence is None:
        raise Held("licence", body.licence)
    if not (desk.actor.manages or licence.holder_id == desk.actor.member):
        raise NeedsReview("licence", "report_not_yours")
    shown = form_of(desk.team, body.form)
    if shown is None:
        raise NeedsReview("form", "report_unknown_form", form=body.form)
    Team.objects.select_for_update().get(id=desk.team)  # one report of the same days at a time
    _amended(desk, body)
    frozen = freeze(desk.team, shown.form, licence, body.first, body.last)
    period = Period(body.first, body.last)
    balance = reconcile(desk.team, shown.form, licence, period, frozen.made, desk.received_at)
    for item in balance.stopped:
        raise NeedsReview("form", f"report_stop_{item.code}", names=", ".join(item.names[:5]))
    if balance.to_explain and not body.note.strip():
        raise NeedsReview("note", "report_explain")
    if frozen.sha256 != body.seen:
        raise NeedsReview("seen", "report_changed")
    rules = Version.objects.filter(team_id=desk.team).order_by("-number").first()
    Filing.objects.create(
        **desk.written(), id=body.filing, licence_id=licence.id, form_code=body.form,
        first=body.first, last=body.last, by_id=desk.actor.member, signed=body.signed,
        note=body.note.strip(), snapshot=frozen.raw, sha256=frozen.sha256,
        rows=len(frozen.made.rows), amends_id=body.amends,
        inputs={
            "form_sha256": shown.sha256, "form_number": shown.number,
            "rulebook": rules.number if rules else None,
            "changes": Team.objects.values_list("change_count", flat=True).get(id=desk.team),
        },
    )  # fmt: skip
    if body.duty is not None:
        _close_duty(desk, body.duty, licence.id)


def _amended(desk: Desk, body: FileReport) -> None:
    before = newest_of(desk.team, body.licence, body.form, body.first, body.last)
    if before is None and body.amends is not None:
        raise Held("amends", body.amends)
    if before is not None and body.amends != before.id:
        raise NeedsReview("amends", "report_filed_before", on=before.at.date().isoformat())


def _close_duty(desk: Desk, duty: UUID, licence: UUID) -> None:
    asked = Duty.objects.filter(id=duty, licence_id=licence, kind=DutyKind.FILE, state__in=OPEN)
    if not asked.exists():
        raise NeedsReview("duty", "duty_not_open")
    close_one(desk.team, duty, at=desk.at, moment=desk.received_at, act=desk.act)


class TakeReportForm(Body):
    """`form`: its YAML."""

    form: Annotated[str, Field(min_length=1, max_length=65536)]


def take_report_form(desk: Desk, body: TakeReportForm) -> None:
    if not desk.actor.manages:
        raise NeedsReview("form", "only_managers", what="take_report_form")
    form = read_form(body.form)
    Team.objects.select_for_update().get(id=desk.team)
    before = FormTaken.objects.filter(code=form.code).count()
    FormTaken.objects.create(
        **desk.written(), code=form.code, number=before + 1, text=body.form,
        sha256=digest(body.form), by_id=desk.actor.member,
    )  # fmt: skip


KINDS = (
    Kind("file_report", {1: FileReport}, file_report),
    Kind("take_report_form", {1: TakeReportForm}, take_report_form),
)
