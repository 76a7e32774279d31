"""Figures that were kept are reckoned anew: rates are given where they were not before."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("reports", "0005_fewer_indexes")]

    operations = [migrations.RunSQL("DELETE FROM reports_reckoned", migrations.RunSQL.noop)]
