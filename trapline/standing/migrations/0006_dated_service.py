import django.db.models.expressions
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("standing", "0005_fewer_indexes"),
    ]

    operations = [
        migrations.AddField(
            model_name="interval",
            name="served",
            field=models.FloatField(null=True),
        ),
        migrations.RemoveField(model_name="interval", name="told"),
        migrations.AddField(
            model_name="interval",
            name="told",
            field=models.GeneratedField(
                db_persist=True,
                expression=django.db.models.expressions.CombinedExpression(
                    django.db.models.expressions.CombinedExpression(
                        models.Func(
                            models.F("day"),
                            output_field=models.IntegerField(),
                            template="16 * (%(expressions)s - '1970-01-01'::date)",
                        ),
                        "+",
                        models.Case(
                            models.When(
                                models.Q(("targets__gt", 0), ("others__gt", 0), _connector="OR"),
                                then=8,
                            ),
                            default=0,
                        ),
                    ),
                    "+",
                    models.Case(
                        models.When(found="in_order", then=0),
                        models.When(found="animal", targets__gt=0, then=1),
                        models.When(found="animal", then=2),
                        models.When(found="sprung_empty", then=3),
                        models.When(served__isnull=False, then=5),
                        default=4,
                    ),
                ),
                output_field=models.IntegerField(),
            ),
        ),
        migrations.AddConstraint(
            model_name="interval",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("served", None),
                    models.Q(
                        ("found", "buried"),
                        ("served__gte", 0),
                        ("served__lte", models.F("nights")),
                    ),
                    _connector="OR",
                ),
                name="standing_interval_served_of_its_nights",
            ),
        ),
    ]
