"""Where the data lies: in a closed folder, on a long path, without the right to write."""

import os
from pathlib import Path

import pytest

from tests.setup.places import short_folder
from tools import places, postgres, services
from tools.places import local_place
from tools.processes import until, working_in
from tools.say import Refusal

as_root = pytest.mark.skipif(os.geteuid() != 0, reason="only root hands over to another account")
LONG = Path("/".join("a" * 49 for _ in range(3)))  # 149 characters


def brought_up(local: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, Path]:
    """Start and stop the services of a checkout whose .local is there; (link, true home)."""
    local.mkdir(parents=True)
    monkeypatch.setattr(places, "LOCAL", local)
    place = local_place("test")
    try:
        place.make()
        services.start(place)
        assert postgres.query(place, "SELECT 1") == "1\n"
        assert (local / "test" / "pg" / "PG_VERSION").exists()
        assert (local / "test").resolve() == place.home.resolve()
        # A second look finds the same place.
        assert local_place("test") == place
    finally:
        services.stop(place)
        place.erase()
    assert until(lambda: not working_in(place.data, "postgres"), 2)
    return local / "test", place.home


@as_root
def test_root_in_a_closed_folder_gets_the_data_in_var_lib_and_a_link(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with short_folder() as folder:
        folder.chmod(0o700)
        link, home = brought_up(folder / "checkout" / ".local", monkeypatch)
        assert home.parent == Path("/var/lib")
        assert link.readlink() == home


def test_a_path_of_150_characters_works(monkeypatch: pytest.MonkeyPatch) -> None:
    with short_folder() as folder:
        local = folder / LONG / ".local"
        assert len(str(local)) >= 150
        brought_up(local, monkeypatch)


@as_root
def test_roots_data_stays_in_an_open_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    with short_folder() as folder:
        link, home = brought_up(folder / ".local", monkeypatch)
        assert home == link


@as_root
def test_real_use_in_a_closed_folder_is_refused_with_the_way_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with short_folder() as folder:
        folder.chmod(0o700)
        monkeypatch.setenv("LINEWARD_HOME", str(folder / "data"))
        with pytest.raises(Refusal, match="Set LINEWARD_HOME to a folder that others may pass"):
            places.own_place()


@as_root
def test_a_folder_of_somebody_else_gets_a_sentence_that_says_what_to_do() -> None:
    with short_folder() as folder:
        home = folder / "home"
        place = places.Place("own", home, places.sockets_for(home), None)
        os.seteuid(65534)
        try:
            with pytest.raises(Refusal, match=r"You may not write in .*Call make as the user who"):
                place.make()
        finally:
            os.seteuid(0)


def test_two_folders_never_share_their_sockets() -> None:
    assert places.sockets_for(Path("/a/b")) != places.sockets_for(Path("/a/c"))
    assert places.sockets_for(Path("/a/b")) == places.sockets_for(Path("/a/b"))
