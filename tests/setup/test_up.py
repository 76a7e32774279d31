"""`make run` whole: web, worker and beat over the services, killed, found again, stopped."""

import os
import re
import signal
import socket
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.setup.places import assert_a_sentence, short_folder, up
from tools import postgres, redis_server, services, web
from tools.places import CHECKOUT, Place, sockets_for
from tools.processes import end, is_alive, marked, until, working_in
from tools.shell import must, run, service_account
from tools.up import MARK, environment

Run = tuple["subprocess.Popen[str]", int]  # the command and its port
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
        shell = [sys.executable, "manage.py", "shell", "-c", MAKE_A_PERSON]
        must(run(shell, env=env | {"OWN_SCHEMA": "1"}, cwd=CHECKOUT), "Making a person")
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
def started(place: Place, port: int) -> Iterator["subprocess.Popen[str]"]:
    """The running command, once it printed the address."""
    said = place.home.parent / f"said-{port}"
    with said.open("w") as sink:
        process = subprocess.Popen(
            [sys.executable, "-m", "tools.up", "run"],
            cwd=CHECKOUT,
            env=os.environ
            | {"LINEWARD_HOME": str(place.home), "PORT": str(port), "WEB_WORKERS": "1"},
            stdin=subprocess.DEVNULL,
            stdout=sink,
            stderr=subprocess.STDOUT,
            text=True,
        )
    try:
        address = f"Lineward is at http://localhost:{port}/"
        until(lambda: address in said.read_text() or process.poll() is not None, 120)
        assert address in said.read_text(), said.read_text()
        yield process
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


@pytest.fixture(scope="module")
def first(place: Place) -> Iterator[Run]:
    """A running `make run`, for the tests in their order; the last of them kills it."""
    port = free_port()
    with started(place, port) as process:
        yield process, port


def test_it_answers_on_the_web_port_and_no_other_is_open(place: Place, first: Run) -> None:
    process, port = first
    assert status(port) == 200
    assert crew(place, "celery -A trapline.celery worker")
    assert crew(place, "celery -A trapline.celery beat")
    pids = [*marked(MARK, place.mark), *working_in(place.data, "postgres"), process.pid]
    assert open_ports(pids) == {("127.0.0.1", port)}


def test_its_database_is_durable(place: Place, first: Run) -> None:
    for name in ("fsync", "synchronous_commit", "full_page_writes"):
        assert postgres.query(place, f"SHOW {name}") == "on\n"


def test_a_second_start_beside_it_ends_with_a_sentence(place: Place, first: Run) -> None:
    process, port = first
    done = up("run", LINEWARD_HOME=str(place.home), PORT=str(free_port()))
    assert_a_sentence(done, "already running here", str(process.pid), "Ctrl-C")
    assert status(port) == 200


def test_a_killed_run_is_found_again_and_ctrl_c_stops_everything(place: Place, first: Run) -> None:
    process, port = first
    process.kill()
    process.wait()
    assert status(port) == 200  # the control: the killed run's web process still has the port
    orphans = marked(MARK, place.mark)
    with started(place, port) as again:
        assert status(port) == 200
        assert not set(orphans) & set(marked(MARK, place.mark))
        again.send_signal(signal.SIGINT)
        assert again.wait(20) == 0
    assert not running(place)
    web.must_be_free(web.Address("127.0.0.1", port), "run")


def test_when_one_process_dies_the_rest_stop_and_the_log_is_shown(place: Place) -> None:
    port = free_port()
    with started(place, port) as process:
        for pid in crew(place, "celery -A trapline.celery beat"):
            os.kill(pid, signal.SIGKILL)
        assert process.wait(30) == 1
        said = (place.home.parent / f"said-{port}").read_text()
        assert "One of web, worker and beat stopped" in said
        assert re.search(r"system +\| beat.1 stopped \(rc=-9\)", said)
        assert "Traceback" not in said
    assert not running(place)
