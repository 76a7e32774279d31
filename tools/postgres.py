"""A private PostgreSQL with PostGIS on a unix socket, its two roles and its database."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

from tools.places import Place
from tools.processes import end, is_alive, name_of, until, working_in
from tools.say import Refusal, say, step
from tools.shell import must, run

OLDEST = 15
DATABASE = "lineward"
OWNER, PROGRAM = "lineward_owner", "lineward_app"
LARGEST_LOG = 10_000_000  # bytes

# Trust is safe here: the only way in is a socket in a folder that only we may enter.
LIVING = {
    "listen_addresses": "",
    "unix_socket_permissions": "0700",
    "log_min_messages": "warning",
    "log_line_prefix": "%m [%p] ",
    "timezone": "UTC",
    "log_timezone": "UTC",
    "max_connections": "100",
}
FAST = {
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    "max_connections": "200",
}
# template1 carries the extensions, so that a test database made by the owner has them too.
EXTENSIONS = "CREATE EXTENSION IF NOT EXISTS postgis; CREATE EXTENSION IF NOT EXISTS btree_gist;"


def installed() -> dict[int, Path]:
    """Folder of programs per major version that has PostGIS and is new enough, newest first."""
    found = {}
    for control in Path("/usr/share/postgresql").glob("*/extension/postgis.control"):
        version = control.parent.parent.name
        programs = Path("/usr/lib/postgresql") / version / "bin"
        if version.isdigit() and int(version) >= OLDEST and (programs / "initdb").exists():
            found[int(version)] = programs
    return dict(sorted(found.items(), reverse=True))


def programs_for(place: Place) -> Path:
    """The programs that can run this place's cluster, or the newest for a new one."""
    have = installed()
    if not have:
        raise Refusal(
            f"PostgreSQL {OLDEST} or newer with PostGIS is missing. Call `make packages` as root "
            "or with sudo, or install your distribution's postgresql and postgis packages."
        )
    made_by = _made_by(place)
    if made_by is None:
        return next(iter(have.values()))
    if made_by not in have:
        raise Refusal(
            f"The data in {place.data} was made by PostgreSQL {made_by}, which is not installed "
            f"(installed: {', '.join(map(str, have))}). Install postgresql-{made_by}-postgis-3, "
            "or move that folder away to begin with an empty database."
        )
    return have[made_by]


def _made_by(place: Place) -> int | None:
    try:
        return int((place.data / "PG_VERSION").read_text())
    except (FileNotFoundError, ValueError):
        return None


def start(place: Place, database: str = DATABASE) -> None:
    """Bring the cluster up, whatever state an earlier run left it in. Idempotent."""
    programs = programs_for(place)
    if answers(place):
        return
    _clear_the_way(place)
    if _made_by(place) is None:
        _initialise(place, programs)
    _settings(place).write_text(
        "".join(f"{key} = '{value}'\n" for key, value in _chosen(place).items())
    )
    log = place.log / "postgres.log"
    if log.exists() and log.stat().st_size > LARGEST_LOG:
        log.unlink()
    with step("starting PostgreSQL"):
        done = run(
            [programs / "pg_ctl", "start", "-w", "-t", "120", "-s", "-D", place.data, "-l", log],
            account=place.account,
        )
        must(done, "Starting PostgreSQL", f"Its log is {log}.")
        prepare(place, database)


def stop(place: Place) -> None:
    """Stop the cluster and wait until it is down; harmless when it is."""
    if not working_in(place.data, "postgres"):
        return
    done = run(
        [programs_for(place) / "pg_ctl", "stop", "-m", "fast", "-t", "30", "-s", "-D", place.data],
        account=place.account,
    )
    if done.returncode != 0:
        end(working_in(place.data, "postgres"), 10)


def answers(place: Place) -> bool:
    """True when the cluster takes connections."""
    ready = programs_for(place) / "pg_isready"
    return run([ready, "-q", "-h", place.sockets], account=place.account).returncode == 0


def url(place: Place, role: str, database: str = DATABASE) -> str:
    """The address for Django's settings; the host is the folder of the socket."""
    return f"postgis://{role}@/{place.sockets}/{database}"


def query(place: Place, sql: str, database: str = DATABASE) -> str:
    """Run SQL as the superuser through psql and return its bare output."""
    where = ["-h", str(place.sockets), "-U", "postgres", "-d", database]
    how = ["-X", "-q", "-A", "-t", "-v", "ON_ERROR_STOP=1", "-f", "-"]
    psql = programs_for(place) / "psql"
    done = run([psql, *where, *how], account=place.account, stdin=sql)
    return must(done, "A database statement")


def _settings(place: Place) -> Path:
    return place.data / "lineward.conf"


def _chosen(place: Place) -> dict[str, str]:
    chosen = LIVING | {"unix_socket_directories": str(place.sockets)}
    return chosen | FAST if place.fast else chosen


def _clear_the_way(place: Place) -> None:
    """End a cluster that no longer answers and remove the lock files of a dead one.

    They name a process id that another program, or a dead one nobody has buried, may have
    by now; PostgreSQL would then refuse to start. They are only removed when no PostgreSQL
    process works in the data.
    """
    for leftover in place.home.glob("pg.new*"):
        shutil.rmtree(leftover)
    if place.data.exists() and _made_by(place) is None:
        raise Refusal(
            f"{place.data} is not a PostgreSQL cluster (it has no PG_VERSION). Move it away and "
            "start again; a new cluster is then made in its place."
        )
    left = working_in(place.data, "postgres")
    if left:
        say("- an earlier PostgreSQL still runs here and does not answer; stopping it ...")
        for pid in _postmaster(place):
            if pid in left:
                end([pid], 20)
        until(lambda: not working_in(place.data, "postgres"), 5)
        end(working_in(place.data, "postgres"))
    for lock in (place.data / "postmaster.pid", *place.sockets.glob(".s.PGSQL.*")):
        lock.unlink(missing_ok=True)


def _postmaster(place: Place) -> Iterator[int]:
    try:
        first = (place.data / "postmaster.pid").read_text().splitlines()[0]
    except (FileNotFoundError, IndexError):
        return
    if first.isdigit() and is_alive(int(first)) and name_of(int(first)) == "postgres":
        yield int(first)


def _initialise(place: Place, programs: Path) -> None:
    """Make the cluster beside its final name, and rename it when whole."""
    fresh = place.home / "pg.new"
    with step(f"making a private PostgreSQL cluster in {place.data}"):
        fresh.mkdir(mode=0o700)
        if place.account:
            os.chown(fresh, place.account.uid, place.account.gid)
        options = ["-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8"]
        haste = ["--no-sync"] if place.fast else []
        done = run(
            [programs / "initdb", "-D", fresh, *options, *haste, "--no-instructions"],
            account=place.account,
        )
        must(done, "Making the PostgreSQL cluster")
        with (fresh / "postgresql.conf").open("a") as conf:
            conf.write("\ninclude_if_exists 'lineward.conf'\n")
        fresh.rename(place.data)


def prepare(place: Place, database: str = DATABASE) -> None:
    """Roles, extensions and the database: whatever of it is missing."""
    rights = "CREATEDB" if place.tests else "NOCREATEDB"
    roles = "".join(
        f"SELECT 'CREATE ROLE {role} LOGIN' WHERE to_regrole('{role}') IS NULL\\gexec\n"
        for role in (OWNER, PROGRAM)
    )
    if place.tests:
        # A test's end may have to end the program's connections.
        roles += f"GRANT {PROGRAM} TO {OWNER};\n"
    base = (
        f"{EXTENSIONS}\n{roles}ALTER ROLE {OWNER} {rights};\n"
        f"SELECT 'CREATE DATABASE {database} OWNER {OWNER}' WHERE NOT EXISTS "
        f"(SELECT FROM pg_database WHERE datname = '{database}')\\gexec\n"
    )
    query(place, base, "template1")


def forget(place: Place, database: str = DATABASE) -> None:
    """Remove the database with all that is in it."""
    query(place, f"DROP DATABASE IF EXISTS {database} WITH (FORCE);", "template1")
