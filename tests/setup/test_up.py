"""`make run` whole: web, worker and beat over the services, killed, found again, stopped."""

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.setup.places import assert_a_sentence, short_folder, up
from tools import postgres, redis_server, services, web
from tools.places import CHECKOUT, Place, sockets_for
from tools.processes import end, is_alive, marked, name_of, until, working_in
from tools.shell import service_account
from tools.up import MARK, environment, manage

pytestmark = pytest.mark.xdist_group("up")
MAKE_A_PERSON = "from trapline.people.models import Person; Person.objects.create_user('ada')"


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as probe:
        return int(probe.getsockname()[1])


@pytest.fixture(scope="module")
def place() -> Iterator[Place]:
    """Where `make run` keeps its data when LINEWARD_HOME says so; somebody is in it."""
    with short_folder() as folder:
        home = folder / "home"
        place = Place("run", home, sockets_for(home), service_account())
        # Nobody is there yet: this first start makes everything and then has to ask.
        done = up("run", LINEWARD_HOME=str(home), PORT=str(free_port()))
        assert_a_sentence(done, "nobody in this database yet", "Call make run in one")
        assert not running(place)
        services.start(place)
        env = environment(place, web.Address("127.0.0.1", 1))
        manage(env, "shell", "-c", MAKE_A_PERSON, owner=True)
        services.stop(place)
        try:
            yield place
        finally:
            end(marked(MARK, place.mark))
            services.stop(place)
            place.erase()


def running(place: Place) -> bool:
    """Is anything of this place alive?"""
    database = working_in(place.data, "postgres")
    return bool(marked(MARK, place.mark) or database or redis_server.answers(place))


@contextmanager
def started(place: Place, port: int) -> Iterator[tuple["subprocess.Popen[str]", float]]:
    """The running command, once it printed the address, and how many seconds that took."""
    said = place.home.parent / f"said-{port}"
    began = time.monotonic()
    with said.open("w") as sink:
        process = subprocess.Popen(
            [sys.executable, "-m", "tools.up", "run"],
            cwd=CHECKOUT,
            env=os.environ | {"LINEWARD_HOME": str(place.home), "PORT": str(port)},
            stdin=subprocess.DEVNULL,
            stdout=sink,
            stderr=subprocess.STDOUT,
            text=True,
        )
    try:
        address = f"Lineward is at http://localhost:{port}/"
        until(lambda: address in said.read_text() or process.poll() is not None, 60)
        assert address in said.read_text(), said.read_text()
        yield process, time.monotonic() - began
    finally:
        if process.poll() is None:
            process.kill()
            process.wait()


def status(port: int) -> int:
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/healthz", timeout=5) as page:
        return int(page.status)


def crew(place: Place, words: str) -> list[int]:
    """This place's processes whose command line holds the words."""
    found = []
    for pid in marked(MARK, place.mark):
        line = Path(f"/proc/{pid}/cmdline").read_bytes().replace(b"\0", b" ").decode()
        if words in line:
            found.append(pid)
    return found


def test_a_killed_run_is_found_again_and_ctrl_c_stops_everything(place: Place) -> None:
    port = free_port()
    with started(place, port) as (first, _):
        assert status(port) == 200
        assert crew(place, "celery -A trapline.celery worker")
        assert crew(place, "celery -A trapline.celery beat")
        first.kill()
        first.wait()
    assert status(port) == 200  # the control: the killed run's web process still has the port
    orphans = marked(MARK, place.mark)
    with started(place, port) as (second, _):
        assert status(port) == 200
        assert not set(orphans) & set(marked(MARK, place.mark))
        second.send_signal(signal.SIGINT)
        assert second.wait(20) == 0
    assert not running(place)
    web.must_be_free(web.Address("127.0.0.1", port), "run")


def test_two_starts_at_once_end_with_one_running_and_one_sentence(place: Place) -> None:
    port = free_port()
    with started(place, port) as (process, _):
        done = up("run", LINEWARD_HOME=str(place.home), PORT=str(free_port()))
        assert_a_sentence(done, "already running here", str(process.pid), "Ctrl-C")
        assert status(port) == 200
        process.terminate()
        assert process.wait(20) == 0
    assert not running(place)


def test_when_one_process_dies_the_rest_stop_and_the_log_is_shown(place: Place) -> None:
    port = free_port()
    with started(place, port) as (process, _):
        for pid in crew(place, "celery -A trapline.celery beat"):
            if not name_of(pid).startswith("honcho"):
                os.kill(pid, signal.SIGKILL)
        assert process.wait(30) == 1
        said = (place.home.parent / f"said-{port}").read_text()
        assert "One of web, worker and beat stopped" in said
        assert re.search(r"system +\| beat.1 stopped \(rc=-9\)", said)
        assert "Traceback" not in said
    assert not running(place)


def test_only_the_web_port_is_open_to_the_network(place: Place) -> None:
    port = free_port()
    with started(place, port) as (process, _):
        pids = [*marked(MARK, place.mark), *working_in(place.data, "postgres"), process.pid]
        assert open_ports(pids) == {("127.0.0.1", port)}
        process.terminate()
        process.wait(20)


def open_ports(pids: list[int]) -> set[tuple[str, int]]:
    """IPv4 addresses in state LISTEN (0A, proc(5)) that these processes hold."""
    held = set()
    for pid in filter(is_alive, pids):
        for handle in os.listdir(f"/proc/{pid}/fd"):
            try:
                held.add(os.readlink(f"/proc/{pid}/fd/{handle}"))
            except FileNotFoundError:
                continue
    found = set()
    for row in Path("/proc/net/tcp").read_text().splitlines()[1:]:
        cells = row.split()
        if cells[3] == "0A" and f"socket:[{cells[9]}]" in held:
            address, _, port = cells[1].partition(":")
            host = socket.inet_ntoa(bytes.fromhex(address)[::-1])
            found.add((host, int(port, 16)))
    return found


def test_the_database_of_real_use_is_durable(place: Place) -> None:
    services.start(place)
    try:
        assert postgres.query(place, "SHOW fsync") == "on\n"
        assert postgres.query(place, "SHOW synchronous_commit") == "on\n"
        assert postgres.query(place, "SHOW full_page_writes") == "on\n"
    finally:
        services.stop(place)
