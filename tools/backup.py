"""`make backup` and `make restore`: one file with the database, the uploads and the key."""

import datetime
import os
import shutil
import subprocess
import tarfile
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from tools import postgres, services
from tools.lock import alone
from tools.places import Place, own_place
from tools.say import Refusal, run_main, say, step

DUMP = "database.dump"
PARTS = ("media", "secret")


def main(arguments: list[str]) -> int:
    command, *rest = arguments or [""]
    place = own_place()
    if command == "backup":
        with _database(place):
            say(f"The copy is {backup(place)}. Keep it on another machine too.")
        return 0
    if command != "restore" or not rest or not rest[0]:
        raise Refusal("Say which copy: make restore FILE=/path/to/lineward-....tar")
    place.make()
    with alone(place, "make run"):
        services.start(place)
        try:
            restore(place, Path(rest[0]))
        finally:
            services.stop(place)
    say("Restored. Start it with: make run")
    return 0


def backup(place: Place) -> Path:
    """Write a consistent copy, whole or not at all; the services must be up."""
    folder = place.home / "backups"
    folder.mkdir(mode=0o700, exist_ok=True)
    stamp = datetime.datetime.now(datetime.UTC).strftime("%Y%m%d-%H%M%S")
    final = folder / f"lineward-{stamp}.tar"
    with tempfile.TemporaryDirectory(dir=folder) as scratch:
        dump, whole = Path(scratch) / DUMP, Path(scratch) / "whole.tar"
        with step("copying the database"):
            _client(place, "pg_dump", "-Fc", "-f", dump, postgres.DATABASE)
        with step("copying the uploads"), tarfile.open(whole, "w") as archive:
            archive.add(dump, DUMP)
            for part in PARTS:
                if (place.home / part).exists():
                    archive.add(place.home / part, part)
        whole.chmod(0o600)
        whole.rename(final)
    return final


def restore(place: Place, source: Path) -> None:
    """Bring a copy into a place that holds nobody yet; the services must be up."""
    table = postgres.query(place, "SELECT to_regclass('people_person') IS NOT NULL").strip()
    if table == "t" and postgres.query(place, "SELECT EXISTS (SELECT FROM people_person)") == "t\n":
        raise Refusal(
            f"There is data in {place.home} already, and a copy is never brought in over it. "
            "Move that folder away, or set LINEWARD_HOME to an empty one."
        )
    with tempfile.TemporaryDirectory(dir=place.home) as scratch:
        try:
            _unpack(source, Path(scratch))
        except (OSError, tarfile.TarError) as error:
            raise Refusal(f"{source} is no whole copy made by make backup: {error}.") from None
        with step("restoring the database"):
            postgres.forget(place)
            postgres.prepare(place)
            dump = Path(scratch) / DUMP
            _client(place, "pg_restore", "--single-transaction", "-d", postgres.DATABASE, dump)
        with step("restoring the uploads"):
            for part in PARTS:
                if (Path(scratch) / part).exists():
                    _replace(Path(scratch) / part, place.home / part)
        (place.home / "tables-stamp").unlink(missing_ok=True)


def _unpack(source: Path, scratch: Path) -> None:
    """Take out what a copy holds and nothing else: no link, no path that leads elsewhere.

    (tarfile's own filter is missing from Debian 12's Python.)
    """
    with tarfile.open(source) as archive:
        for member in archive:
            parts = Path(member.name).parts
            if parts[0] not in (DUMP, *PARTS) or ".." in parts:
                raise tarfile.TarError(f"it holds {member.name}, which no copy has")
            target = scratch / member.name
            if member.isdir():
                target.mkdir(mode=0o700, parents=True)
                continue
            content = archive.extractfile(member) if member.isfile() else None
            if content is None:
                raise tarfile.TarError(f"{member.name} in it is no file")
            with target.open("xb") as sink:
                shutil.copyfileobj(content, sink)
            target.chmod(0o600)
    if not (scratch / DUMP).is_file():
        raise tarfile.TarError(f"it holds no {DUMP}")


def _replace(fresh: Path, old: Path) -> None:
    """Put `fresh` where `old` is; the old one goes with the scratch folder."""
    if old.exists():
        old.rename(fresh.parent / f"old-{old.name}")
    fresh.rename(old)


def _client(place: Place, program: str, *arguments: str | Path) -> None:
    """Run one of PostgreSQL's client programs as the caller, who owns the copy."""
    where: Sequence[str | Path] = ("-h", place.sockets, "-U", "postgres")
    command = [postgres.programs_for(place) / program, *where, *arguments]
    done = subprocess.run(  # noqa: S603 - our own command
        command, stderr=subprocess.PIPE, text=True, check=False, env=dict(os.environ)
    )
    if done.returncode != 0:
        raise Refusal(f"{program} failed: {done.stderr.strip()}")


@contextmanager
def _database(place: Place) -> Iterator[None]:
    """The running services, or ones started for this moment."""
    if not place.data.exists():
        raise Refusal(f"There is nothing to copy in {place.home}: make run has not been used yet.")
    if postgres.answers(place):
        yield
        return
    with alone(place, "make run"):
        services.start(place)
        try:
            yield
        finally:
            services.stop(place)


if __name__ == "__main__":
    run_main(main)
