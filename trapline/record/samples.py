"""Samples: taken under a label, handed in to somebody; and an entry that was a mistake."""

from typing import Annotated, Any
from uuid import UUID

from pydantic import Field, StringConstraints

from trapline.binding.world import World
from trapline.duties.models import OPEN, Duty
from trapline.duties.models import Kind as DutyKind
from trapline.duties.single import close_one
from trapline.findings.animals import refresh_animals
from trapline.ground.errors import Held, NeedsReview
from trapline.kept.models import (
    MeatJudged,
    PeltStep,
    Portion,
    Sample,
    SampleHandedIn,
    Undone,
)
from trapline.kept.words import SampleOf, Undo
from trapline.people.models import Team
from trapline.record.acting import Body, Desk, Kind
from trapline.record.finding_acts import Reason
from trapline.record.kept_animals import taken_animals
from trapline.record.pelts import Short

Said = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)]
MOST = 200


class TakeSample(Body):
    """A sample of an animal, under the label that is on it."""

    sample: UUID
    animal: UUID
    what: SampleOf
    label: Said


def take(desk: Desk, body: TakeSample) -> None:
    (one,) = taken_animals(desk, [body.animal], "animal")
    counts = Sample.objects.exclude(id__in=_undone("sample"))
    if counts.filter(animal=one.animal, what=body.what).exists():
        raise NeedsReview("what", "sample_twice", number=one.number)
    if counts.filter(label=body.label).exists():
        raise NeedsReview("label", "sample_label_twice", label=body.label)
    Sample.objects.create(
        **desk.written(), id=body.sample, by_id=desk.actor.member, animal=one.animal,
        what=body.what, label=body.label,
    )  # fmt: skip


class HandInSamples(Body):
    """Samples went to whoever asked for them; `reference`: of the receipt."""

    samples: Annotated[list[UUID], Field(min_length=1, max_length=MOST)]
    to: Said
    reference: Short = ""


def hand_in(desk: Desk, body: HandInSamples) -> None:
    wanted = list(dict.fromkeys(body.samples))
    found = {
        one.id: one
        for one in Sample.objects.filter(id__in=wanted).exclude(id__in=_undone("sample"))
    }
    for number, key in enumerate(wanted):
        if key not in found:
            raise Held(f"samples.{number}", key)
    taken_animals(desk, [found[key].animal for key in wanted], "samples")
    before = SampleHandedIn.objects.filter(sample__in=wanted).values_list("sample_id", flat=True)
    for key in before:
        raise NeedsReview(
            f"samples.{wanted.index(key)}", "sample_handed_before", label=found[key].label
        )
    for key in wanted:
        if desk.at < found[key].at:
            raise NeedsReview("at", "before_the_sample", label=found[key].label)
    SampleHandedIn.objects.bulk_create(
        SampleHandedIn(
            **desk.written(), by_id=desk.actor.member, sample_id=key, to=body.to,
            reference=body.reference,
        )
        for key in wanted
    )  # fmt: skip
    _close_duties(desk, [found[key] for key in wanted])


def _close_duties(desk: Desk, samples: list[Sample]) -> None:
    """What rules asked for by these samples is done."""
    given = {(one.animal, one.what) for one in samples}
    asked = Duty.objects.filter(
        kind=DutyKind.SAMPLE, state__in=OPEN, caught__animal__in={animal for animal, _ in given}
    )
    for duty in asked.select_related("caught", "rule"):
        if duty.rule and (duty.caught.animal, duty.rule.params["sample"]) in given:
            close_one(desk.team, duty.id, at=desk.at, moment=desk.received_at, act=desk.act)
    refresh_animals(desk.team, World(desk.received_at))


class TakeBack(Body):
    """An entry was a mistake. It stays to be read and counts no more."""

    what: Undo
    row: UUID
    reason: Reason


ROWS: dict[str, Any] = {
    Undo.PELT: PeltStep, Undo.JUDGED: MeatJudged, Undo.PORTION: Portion, Undo.SAMPLE: Sample
}  # fmt: skip


def take_back(desk: Desk, body: TakeBack) -> None:
    """Whoever made the entry, or who leads."""
    Team.objects.select_for_update(no_key=True).get(id=desk.team)
    row = ROWS[body.what].objects.filter(id=body.row).first()
    if row is None or not (desk.actor.leads or desk.overruled or row.by_id == desk.actor.member):
        raise Held("row", body.row)
    if Undone.objects.filter(**{body.what.value: body.row}).exists():
        raise NeedsReview("row", "taken_back_before")
    if body.what == Undo.SAMPLE and SampleHandedIn.objects.filter(sample=row.id).exists():
        raise NeedsReview("row", "sample_handed_before", label=row.label)
    Undone.objects.create(
        **desk.written(), by_id=desk.actor.member, reason=body.reason,
        **{f"{body.what.value}_id": body.row},
    )  # fmt: skip


def _undone(what: str) -> Any:
    return Undone.objects.exclude(**{what: None}).values(f"{what}_id")


KINDS = (
    Kind("take_sample", {1: TakeSample}, take),
    Kind("hand_in_samples", {1: HandInSamples}, hand_in),
    Kind("take_back", {1: TakeBack}, take_back),
)
