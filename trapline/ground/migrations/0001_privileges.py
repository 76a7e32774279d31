"""What the program's role may do with tables made from here on, and an aggregate for the fold."""

from django.conf import settings
from django.db import migrations

ROLE = settings.PROGRAM_ROLE

GRANTS = f"""
ALTER DEFAULT PRIVILEGES GRANT SELECT, INSERT, UPDATE, DELETE ON TABLES TO "{ROLE}";
ALTER DEFAULT PRIVILEGES GRANT USAGE, SELECT ON SEQUENCES TO "{ROLE}";
GRANT SELECT ON ALL TABLES IN SCHEMA public TO "{ROLE}";
"""

# The newest stated value along a window: what a set's arrangements carry forward.
LAST_KNOWN = """
CREATE FUNCTION ground_keep(anyelement, anyelement) RETURNS anyelement
    LANGUAGE sql IMMUTABLE PARALLEL SAFE AS 'SELECT coalesce($2, $1)';
CREATE AGGREGATE last_known(anyelement) (sfunc = ground_keep, stype = anyelement);
"""

# Keys made by set-based SQL sort by time like the program's own (RFC 9562, version 7).
UUID7 = """
CREATE FUNCTION uuid7() RETURNS uuid LANGUAGE sql VOLATILE PARALLEL SAFE AS $$
    SELECT (lpad(to_hex((extract(epoch FROM clock_timestamp()) * 1000)::bigint), 12, '0')
            || '7' || substr(replace(gen_random_uuid()::text, '-', ''), 14))::uuid
$$;
"""


class Migration(migrations.Migration):
    initial = True
    dependencies = []
    # Before any other table, so that the program's role gets its rights on all of them.
    run_before = [
        ("contenttypes", "0001_initial"),
        ("sessions", "0001_initial"),
        ("axes", "0001_initial"),
    ]
    operations = [
        migrations.RunSQL("CREATE EXTENSION IF NOT EXISTS postgis", migrations.RunSQL.noop),
        migrations.RunSQL("CREATE EXTENSION IF NOT EXISTS btree_gist", migrations.RunSQL.noop),
        migrations.RunSQL(GRANTS, migrations.RunSQL.noop),
        migrations.RunSQL(UUID7, "DROP FUNCTION uuid7()"),
        migrations.RunSQL(
            LAST_KNOWN, "DROP AGGREGATE last_known(anyelement); DROP FUNCTION ground_keep"
        ),
    ]
