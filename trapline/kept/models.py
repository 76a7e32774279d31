"""What became of animals after the catch: pelts, meat, samples. Append-only but for the table."""

from django.db import models
from django.db.models import F, Func, Q

from trapline.ground.models import TeamKey, TeamRow, one_of
from trapline.journal.models import Fact
from trapline.kept import words


class PeltStep(Fact):
    """From this moment an animal’s pelt is so far, or went there. `animal`: its one number."""

    animal = models.UUIDField()
    state = models.TextField(choices=words.PeltState)
    by = TeamKey("people.Membership")
    place = models.TextField(blank=True)  # where it hangs or lies
    grade = models.TextField(blank=True)
    to = models.TextField(blank=True)  # buyer, receiver, office
    price = models.DecimalField(max_digits=12, decimal_places=2, null=True)  # for this one pelt
    currency = models.TextField(blank=True)  # ISO 4217
    reference = models.TextField(blank=True)
    note = models.TextField(blank=True)

    class Meta:
        constraints = [
            one_of("state", words.PeltState, "kept_peltstep"),
            models.CheckConstraint(
                condition=~Q(state__in=[one.value for one in words.TO_SOMEBODY]) | ~Q(to=""),
                name="kept_peltstep_to_somebody",
            ),
            models.CheckConstraint(
                condition=Q(price=None)
                | Q(state="sold", price__gte=0, currency__regex="^[A-Z]{3}$"),
                name="kept_peltstep_price_of_a_sale",
            ),
        ]
        indexes = [models.Index(fields=["team", "animal", "at"], name="kept_peltstep_of_animal")]


class MeatJudged(Fact):
    """Whether an animal is fit for food, by whom, and what it rests on. The last one holds."""

    animal = models.UUIDField()
    by = TeamKey("people.Membership")
    fit = models.BooleanField()
    organs = models.TextField(choices=words.Organs)
    why = models.TextField(blank=True)
    edible_kg = models.FloatField(null=True)  # raw and boned, on the scale; null: not weighed

    class Meta:
        constraints = [
            one_of("organs", words.Organs, "kept_meatjudged"),
            models.CheckConstraint(
                condition=Q(fit=False) | Q(organs="sound"), name="kept_meatjudged_fit_when_sound"
            ),
            models.CheckConstraint(
                condition=Q(fit=True) | ~Q(why=""), name="kept_meatjudged_unfit_says_why"
            ),
        ]
        indexes = [models.Index(fields=["team", "animal", "at"], name="kept_meatjudged_of_animal")]


class Portion(Fact):
    """Meat of an animal that was eaten, given away, fed or lost; by weight, raw."""

    animal = models.UUIDField()
    by = TeamKey("people.Membership")
    use = models.TextField(choices=words.MeatUse)
    kg = models.FloatField()
    member = TeamKey("people.Membership", null=True)
    household = models.TextField(blank=True)  # or whoever is no member

    class Meta:
        constraints = [
            one_of("use", words.MeatUse, "kept_portion"),
            models.CheckConstraint(condition=Q(kg__gt=0), name="kept_portion_weighs"),
            models.CheckConstraint(
                condition=~Q(use__in=["eaten", "given"])
                | Q(member__isnull=False, household="")
                | (Q(member__isnull=True) & ~Q(household="")),
                name="kept_portion_eaten_by_one",
            ),
        ]
        indexes = [models.Index(fields=["team", "animal", "at"], name="kept_portion_of_animal")]


class Sample(Fact):
    """A sample taken of an animal, under its label."""

    animal = models.UUIDField()
    what = models.TextField(choices=words.SampleOf)
    label = models.TextField()
    by = TeamKey("people.Membership")

    class Meta:
        constraints = [
            one_of("what", words.SampleOf, "kept_sample"),
            models.CheckConstraint(condition=~Q(label=""), name="kept_sample_is_labelled"),
        ]
        indexes = [models.Index(fields=["team", "animal", "at"], name="kept_sample_of_animal")]


class SampleHandedIn(Fact):
    """A sample was handed in: to whom, and the paper that was given for it."""

    sample = TeamKey(Sample, db_index=False)
    by = TeamKey("people.Membership")
    to = models.TextField()
    reference = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["sample"], name="kept_samplehandedin_once"),
            models.CheckConstraint(condition=~Q(to=""), name="kept_samplehandedin_to_somebody"),
        ]


class Undone(Fact):
    """An entry was a mistake: it stays to be read and counts no more."""

    pelt = TeamKey(PeltStep, null=True, db_index=False)
    meat_judged = TeamKey(MeatJudged, null=True, db_index=False)
    portion = TeamKey(Portion, null=True, db_index=False)
    sample = TeamKey(Sample, null=True, db_index=False)
    by = TeamKey("people.Membership")
    reason = models.TextField()

    class Meta:
        constraints = [
            *(
                models.UniqueConstraint(fields=[one], name=f"kept_undone_{one}_once")
                for one in words.Undo.values
            ),
            models.CheckConstraint(
                condition=Q(
                    Func(
                        *(F(one) for one in words.Undo.values),
                        template="num_nonnulls(%(expressions)s) = 1",
                        output_field=models.BooleanField(),
                    )
                ),
                name="kept_undone_one_entry",
            ),
        ]


class FoodValue(TeamRow):
    """The team's own row of the food table; it stands in place of the shipped one."""

    species_code = models.TextField()
    kcal_per_100g = models.FloatField(null=True)  # raw; null: nothing is said
    protein_g_per_100g = models.FloatField(null=True)
    edible_share = models.FloatField(null=True)  # of the live weight
    source = models.TextField()
    act = TeamKey("journal.Act")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["team", "species_code"], name="kept_foodvalue_once"),
            models.CheckConstraint(
                condition=Q(edible_share=None) | Q(edible_share__gt=0, edible_share__lt=1),
                name="kept_foodvalue_share",
            ),
        ]
