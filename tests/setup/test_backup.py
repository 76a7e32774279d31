"""A copy of real use: whole, brought back as it was, and never over other data."""

import io
import tarfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.setup.places import own_place
from tools import backup, postgres, services
from tools.places import Place
from tools.say import Refusal

SOMEBODY = """
SET ROLE lineward_owner;
CREATE TABLE people_person (name text);
CREATE TABLE somewhere (place geometry(Point, 4326));
GRANT SELECT ON people_person TO lineward_app;
INSERT INTO people_person VALUES ('Ada');
INSERT INTO somewhere VALUES (ST_SetSRID(ST_MakePoint(25.5, 62.25), 4326));
"""
THE_PROGRAM_READS = "SET ROLE lineward_app; SELECT name FROM people_person"


@pytest.fixture(scope="module")
def copied() -> Iterator[tuple[Place, Path]]:
    """A place with somebody and an upload in it, and the copy that was made of it."""
    with own_place() as place:
        services.start(place)
        services.secret(place)
        postgres.query(place, SOMEBODY)
        (place.home / "media" / "deep").mkdir()
        (place.home / "media" / "deep" / "photo.jpg").write_bytes(b"\xff\xd8 a picture")
        yield place, backup.backup(place)


def test_a_copy_brought_into_an_empty_place_is_all_there(copied: tuple[Place, Path]) -> None:
    old, copy = copied
    with own_place() as fresh:
        services.start(fresh)
        assert services.secret(fresh) != services.secret(old)
        backup.restore(fresh, copy)
        assert postgres.query(fresh, THE_PROGRAM_READS) == "Ada\n"
        where = "SELECT ST_AsText(place) FROM somewhere"
        assert postgres.query(fresh, where) == "POINT(25.5 62.25)\n"
        owners = "SELECT DISTINCT tableowner FROM pg_tables WHERE tablename LIKE '%person'"
        assert postgres.query(fresh, owners) == "lineward_owner\n"
        photo = fresh.home / "media" / "deep" / "photo.jpg"
        assert photo.read_bytes() == b"\xff\xd8 a picture"
        assert services.secret(fresh) == services.secret(old)


def test_a_copy_is_for_its_owners_eyes_only(copied: tuple[Place, Path]) -> None:
    _, copy = copied
    assert copy.stat().st_mode & 0o077 == 0
    assert copy.parent.stat().st_mode & 0o077 == 0
    assert [entry.name for entry in copy.parent.iterdir()] == [copy.name]


def test_a_copy_is_never_brought_in_over_people(copied: tuple[Place, Path]) -> None:
    place, copy = copied
    with pytest.raises(Refusal, match="never brought in over it"):
        backup.restore(place, copy)
    assert postgres.query(place, THE_PROGRAM_READS) == "Ada\n"


def altered(copy: Path, folder: Path, case: str) -> Path:
    """The copy as a broken disk, a wrong file or an ill will would leave it."""
    wrong = folder / "wrong.tar"
    if case == "cut short":
        wrong.write_bytes(copy.read_bytes()[:9_000])
    elif case == "another file":
        wrong.write_bytes(b"GIF89a" * 500)
    elif case == "a way out":
        with tarfile.open(wrong, "w") as archive:
            entry = tarfile.TarInfo("media/../../out")
            entry.size = 3
            archive.addfile(entry, io.BytesIO(b"out"))
    elif case == "a link":
        with tarfile.open(wrong, "w") as archive:
            entry = tarfile.TarInfo("secret")
            entry.type, entry.linkname = tarfile.SYMTYPE, "/etc/passwd"
            archive.addfile(entry)
    return wrong


@pytest.mark.parametrize("case", ["cut short", "another file", "a way out", "a link", "not there"])
def test_what_is_no_whole_copy_is_refused_and_changes_nothing(
    copied: tuple[Place, Path], tmp_path: Path, case: str
) -> None:
    place, copy = copied
    postgres.query(place, "ALTER TABLE people_person RENAME TO kept_person")
    try:
        with pytest.raises(Refusal, match="is no whole copy made by make backup"):
            backup.restore(place, altered(copy, tmp_path, case))
        assert postgres.query(place, "SELECT name FROM kept_person") == "Ada\n"
        assert (place.home / "media" / "deep" / "photo.jpg").exists()
        assert not (place.home / "out").exists()
    finally:
        postgres.query(place, "ALTER TABLE kept_person RENAME TO people_person")
