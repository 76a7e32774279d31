"""`make run` whole: web, worker and beat over the services, killed, found again, stopped."""

import fcntl
import os
import pty
import re
import signal
import socket
import subprocess
import sys
import termios
import threading
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.setup.places import assert_a_sentence, short_folder, up
from tools import postgres, redis_server, services, web
from tools.places import CHECKOUT, Place, sockets_for
from tools.processes import end, is_alive, marked, until, working_in
from tools.shell import service_account
from tools.up import MARK

ANSWERS = {
    "Name of the team": "North class",
    "Its address": "",  # as proposed
    "Your name": "Ada Aro",
    "Your sign-in name": "ada",
    "Your e-mail": "",
    "Your password": "long-enough-for-us",
    "The same again": "long-enough-for-us",
}


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as probe:
        return int(probe.getsockname()[1])


class Terminal:
    """`make run` in a terminal of its own, with somebody who answers what it asks."""

    def __init__(self, place: Place, port: int) -> None:
        self.port = port
        self.said = ""
        self._keys, screen = pty.openpty()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tools.up", "run"],
            cwd=CHECKOUT,
            env={
                **os.environ,
                **{"LINEWARD_HOME": str(place.home), "PORT": str(port), "WEB_WORKERS": "1"},
            },
            stdin=screen,
            stdout=screen,
            stderr=screen,
            start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
        )
        os.close(screen)
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        asked = dict(ANSWERS)
        while True:
            try:
                self.said += os.read(self._keys, 4096).decode(errors="replace")
            except OSError:  # the other end is closed
                return
            line = self.said.rpartition("\n")[2]
            for question in [known for known in asked if known in line and ": " in line]:
                self.press(asked.pop(question) + "\n")

    def press(self, keys: str) -> None:
        os.write(self._keys, keys.encode())

    def wait_for_the_address(self) -> None:
        address = f"Lineward is at http://localhost:{self.port}/"
        until(lambda: address in self.said or self.process.poll() is not None, 150)
        assert address in self.said, self.said

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        self._reader.join(5)
        os.close(self._keys)


@contextmanager
def started(place: Place) -> Iterator[Terminal]:
    """The running command, once it printed the address."""
    terminal = Terminal(place, free_port())
    try:
        terminal.wait_for_the_address()
        yield terminal
    finally:
        terminal.close()


@pytest.fixture(scope="module")
def place() -> Iterator[Place]:
    """Where `make run` keeps its data when LINEWARD_HOME says so."""
    with short_folder() as folder:
        home = folder / "home"
        place = Place("run", home, sockets_for(home), service_account())
        try:
            yield place
        finally:
            end(marked(MARK, place.mark))
            services.stop(place)
            place.erase()


@pytest.fixture(scope="module")
def first(place: Place) -> Iterator[Terminal]:
    """The first start, for the tests in their order; the last of them kills it."""
    with started(place) as terminal:
        yield terminal


def running(place: Place) -> bool:
    """Is anything of this place alive?"""
    database = working_in(place.data, "postgres")
    return bool(marked(MARK, place.mark) or database or redis_server.answers(place))


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


def test_without_a_terminal_the_first_manager_cannot_be_asked_for(place: Place) -> None:
    done = up("run", LINEWARD_HOME=str(place.home), PORT=str(free_port()))
    assert_a_sentence(done, "nobody in this database yet", "Call make run in one")
    assert not place.data.exists()  # said before anything is made
    assert not running(place)


def test_it_asks_for_the_first_manager_who_is_then_there(place: Place, first: Terminal) -> None:
    assert "Nobody is here yet. Who runs the team?" in first.said
    assert "long-enough" not in first.said
    member = (
        "SELECT sign_in_name, role, slug FROM people_person p"
        " JOIN people_membership m ON m.person_id = p.id JOIN people_team t ON t.id = m.team_id"
    )
    assert postgres.query(place, member) == "ada|manager|north-class\n"


def test_it_answers_on_the_web_port_and_no_other_is_open(place: Place, first: Terminal) -> None:
    assert status(first.port) == 200
    assert crew(place, "celery -A trapline.celery worker")
    assert crew(place, "celery -A trapline.celery beat")
    pids = [*marked(MARK, place.mark), *working_in(place.data, "postgres"), first.process.pid]
    assert open_ports(pids) == {("127.0.0.1", first.port)}


def test_its_database_is_durable(place: Place, first: Terminal) -> None:
    for name in ("fsync", "synchronous_commit", "full_page_writes"):
        assert postgres.query(place, f"SHOW {name}") == "on\n"


def test_a_second_start_beside_it_ends_with_a_sentence(place: Place, first: Terminal) -> None:
    done = up("run", LINEWARD_HOME=str(place.home), PORT=str(free_port()))
    assert_a_sentence(done, "already running here", str(first.process.pid), "Ctrl-C")
    assert status(first.port) == 200


def test_a_killed_run_is_found_again_and_ctrl_c_stops_everything(
    place: Place, first: Terminal
) -> None:
    first.process.kill()
    first.process.wait()
    assert status(first.port) == 200  # the control: its web process still has the port
    orphans = marked(MARK, place.mark)
    with started(place) as again:
        assert status(again.port) == 200
        assert not set(orphans) & set(marked(MARK, place.mark))
        web.must_be_free(web.Address("127.0.0.1", first.port), "run")
        again.press("\x03")  # Ctrl-C
        assert again.process.wait(20) == 0
        assert "Who runs the team" not in again.said
    assert not running(place)
    web.must_be_free(web.Address("127.0.0.1", again.port), "run")


def test_when_one_process_dies_the_rest_stop_and_the_log_is_shown(place: Place) -> None:
    with started(place) as terminal:
        for pid in crew(place, "celery -A trapline.celery beat"):
            os.kill(pid, signal.SIGKILL)
        assert terminal.process.wait(30) == 1
        assert until(lambda: "One of web, worker and beat stopped" in terminal.said, 2)
        assert re.search(r"system +\| beat.1 stopped \(rc=-9\)", terminal.said)
        assert "Traceback" not in terminal.said
    assert not running(place)
