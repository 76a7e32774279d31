#!/bin/sh
# Run once by the database image, when its volume is empty: the owner of the tables
# and the program's role, which owns nothing.
set -eu
: "${DB_OWNER_PASSWORD:?is not set}" "${DB_APP_PASSWORD:?is not set}"
psql -X -v ON_ERROR_STOP=1 -U "$POSTGRES_USER" -d "$POSTGRES_DB" <<'SQL'
\getenv owner_password DB_OWNER_PASSWORD
\getenv app_password DB_APP_PASSWORD
\getenv database POSTGRES_DB
CREATE EXTENSION IF NOT EXISTS postgis;
CREATE EXTENSION IF NOT EXISTS btree_gist;
CREATE ROLE lineward_owner LOGIN PASSWORD :'owner_password';
CREATE ROLE lineward_app LOGIN PASSWORD :'app_password';
ALTER DATABASE :"database" OWNER TO lineward_owner;
SQL
