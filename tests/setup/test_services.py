"""The private PostgreSQL and Redis: closed to the network, and up again after any end."""

import os
import shutil
import signal
import socket
import stat
import subprocess
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from tests.setup.places import own_place
from tools import postgres, redis_server, services
from tools.places import Place
from tools.processes import end, is_alive, marked, until, working_in
from tools.say import Refusal
from tools.shell import run

COUNT = "SELECT count(*) FROM kept"


@pytest.fixture(scope="module")
def shared() -> Iterator[Place]:
    with own_place() as place:
        services.start(place)
        postgres.query(place, "CREATE TABLE kept (n int); INSERT INTO kept VALUES (1), (2)")
        yield place


@pytest.fixture
def place(shared: Place) -> Place:
    """The same place for each test here, up and whole at its start."""
    services.start(shared)
    return shared


def postmaster(place: Place) -> int:
    return int((place.data / "postmaster.pid").read_text().splitlines()[0])


def redis_process(place: Place) -> int:
    (pid,) = redis_server._left_behind(place)
    return pid


def raw_start(place: Place) -> int:
    """PostgreSQL's own start with nothing of ours before it: the control."""
    control = postgres.programs_for(place) / "pg_ctl"
    options = ["-w", "-t", "5", "-s", "-D", str(place.data), "-l", str(place.log / "raw")]
    return run([control, "start", *options], account=place.account).returncode


def listening_ports(pid: int) -> list[str]:
    """Local addresses of TCP sockets in state LISTEN (0A, proc(5)) that this process holds."""
    held = set()
    for handle in os.listdir(f"/proc/{pid}/fd"):
        with suppress(FileNotFoundError):  # the handle of this very look
            held.add(os.readlink(f"/proc/{pid}/fd/{handle}"))
    rows = [
        row.split()
        for table in ("tcp", "tcp6")
        for row in Path(f"/proc/net/{table}").read_text().splitlines()[1:]
    ]
    return [row[1] for row in rows if row[3] == "0A" and f"socket:[{row[9]}]" in held]


def test_neither_service_listens_on_a_tcp_port_and_the_socket_folder_is_closed(
    place: Place,
) -> None:
    with socket.create_server(("127.0.0.1", 0)):
        assert listening_ports(os.getpid())  # the control: this way of looking does find one
    assert listening_ports(postmaster(place)) == []
    assert listening_ports(redis_process(place)) == []
    assert stat.S_IMODE(place.sockets.stat().st_mode) == 0o700
    assert len(os.fsencode(place.sockets / ".s.PGSQL.5432.lock")) < 107


def test_neither_service_runs_as_root(place: Place) -> None:
    for pid in (postmaster(place), redis_process(place)):
        assert Path(f"/proc/{pid}").stat().st_uid != 0


def test_the_programs_role_owns_nothing_and_may_make_nothing(place: Place) -> None:
    owned = "SELECT count(*) FROM pg_class WHERE relowner = 'lineward_app'::regrole"
    assert postgres.query(place, owned) == "0\n"
    rights = "rolsuper OR rolcreatedb OR rolcreaterole OR rolreplication OR rolbypassrls"
    role = f"SELECT {rights} FROM pg_roles WHERE rolname = 'lineward_app'"
    assert postgres.query(place, role) == "f\n"
    assert postgres.query(place, "SET ROLE lineward_owner; CREATE TABLE its_own ()") == ""
    with pytest.raises(Refusal, match="permission denied for schema public"):
        postgres.query(place, "SET ROLE lineward_app; CREATE TABLE not_its_own ()")


def test_a_database_the_owner_makes_has_postgis_and_btree_gist(place: Place) -> None:
    postgres.query(place, "SET ROLE lineward_owner; CREATE DATABASE anew;")
    names = "SELECT string_agg(extname, ' ' ORDER BY extname) FROM pg_extension"
    assert postgres.query(place, names, "anew") == "btree_gist plpgsql postgis\n"
    postgres.forget(place, "anew")


def test_after_kill_9_both_services_come_back_with_the_data(place: Place) -> None:
    killed = [postmaster(place), redis_process(place)]
    for pid in killed:
        os.kill(pid, signal.SIGKILL)
    services.start(place)
    assert postgres.query(place, COUNT) == "2\n"
    assert redis_server.answers(place)
    assert (place.sockets / "redis.sock").exists()
    assert not {postmaster(place), redis_process(place)} & set(killed)


def test_a_pid_file_that_names_another_living_process_does_not_stop_the_start(
    place: Place,
) -> None:
    services.stop(place)
    account = place.account
    other = subprocess.Popen(["sleep", "60"], user=account.uid if account else None)
    try:
        pid_file = place.data / "postmaster.pid"
        pid_file.write_text(f"{other.pid}\n{place.data}\n0\n5432\n{place.sockets}\n\n")
        assert raw_start(place) != 0  # the control: PostgreSQL alone takes it for a running one
        services.start(place)
        assert postgres.query(place, COUNT) == "2\n"
        assert is_alive(other.pid)
    finally:
        end([other.pid])
        other.wait()


def test_a_cluster_that_runs_but_does_not_answer_is_ended_and_started_again(place: Place) -> None:
    silent = postmaster(place)
    shutil.rmtree(place.sockets)  # as a cleaner of /tmp would do
    place.make()
    services.start(place)
    assert not is_alive(silent)
    assert postgres.query(place, COUNT) == "2\n"


def test_a_frozen_process_is_ended_too() -> None:
    frozen = subprocess.Popen(["sleep", "60"])
    os.kill(frozen.pid, signal.SIGSTOP)
    end([frozen.pid], seconds=2)
    assert frozen.wait(2) == -signal.SIGTERM


def test_a_half_made_cluster_is_made_again() -> None:
    with own_place() as place:
        (place.home / "pg.new" / "base").mkdir(parents=True)
        (place.home / "pg.new" / "PG_VERSION").write_text("15\n")
        services.start(place)
        assert postgres.answers(place)
        assert not (place.home / "pg.new").exists()


def test_a_folder_that_is_no_cluster_is_left_alone_with_a_sentence() -> None:
    with own_place() as place:
        place.data.mkdir()
        (place.data / "letters.txt").write_text("not ours")
        with pytest.raises(Refusal, match="is not a PostgreSQL cluster"):
            services.start(place)
        assert (place.data / "letters.txt").read_text() == "not ours"


def test_data_of_a_postgresql_that_is_not_installed_gets_a_sentence() -> None:
    with own_place() as place:
        place.data.mkdir()
        (place.data / "PG_VERSION").write_text("9\n")
        with pytest.raises(Refusal, match="made by PostgreSQL 9, which is not installed"):
            services.start(place)


def test_sockets_in_a_folder_of_another_user_are_refused(place: Place) -> None:
    services.stop(place)
    place.sockets.rename(aside := place.sockets.with_suffix(".aside"))
    elsewhere = place.home / "elsewhere"
    elsewhere.mkdir()
    place.sockets.symlink_to(elsewhere)
    try:
        with pytest.raises(Refusal, match="belongs to another user"):
            place.make()
    finally:
        place.sockets.unlink()
        aside.rename(place.sockets)


def test_stopping_leaves_no_process_and_stopping_twice_is_harmless(place: Place) -> None:
    pids = [*working_in(place.data, "postgres"), redis_process(place)]
    assert len(pids) > 2
    services.stop(place)
    services.stop(place)
    assert until(lambda: not any(is_alive(pid) for pid in pids), 2)


def test_orphans_of_a_killed_run_are_found_by_their_mark_and_no_others(place: Place) -> None:
    ours = subprocess.Popen(["sleep", "60"], env={"LINEWARD_RUN": place.mark, "PATH": "/usr/bin"})
    others = subprocess.Popen(["sleep", "60"], env={"LINEWARD_RUN": "lw-x", "PATH": "/usr/bin"})
    try:
        assert until(lambda: marked("LINEWARD_RUN", place.mark) == [ours.pid], 2)
        end(marked("LINEWARD_RUN", place.mark))
        assert ours.wait(2) == -signal.SIGTERM
        assert others.poll() is None
    finally:
        others.kill()
        others.wait()
