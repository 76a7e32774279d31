"""A private Redis on a unix socket. It only wakes workers; nothing in it must survive."""

import shutil
import socket
from pathlib import Path

from tools.places import Place
from tools.processes import end, living, name_of, until
from tools.say import Refusal, say, step
from tools.shell import must, run

DATABASES = 64  # one for each test worker, with room


def socket_of(place: Place) -> Path:
    return place.sockets / "redis.sock"


def program() -> Path | None:
    """Redis' server; None when it is not installed.

    Debian's `redis-tools` carries it under the name of the checker that shares the file;
    `redis-server` would add only the name and a system service, which we do not want.
    """
    for name in ("redis-server", "redis-check-rdb"):
        path = shutil.which(name)
        if path:
            return Path(path).resolve()
    return None


def _by_its_name(place: Place) -> Path:
    """A link by which the shared program knows that it is to be the server."""
    found = program()
    if found is None:
        raise Refusal("Redis is missing. Call `make packages` as root or with sudo.")
    link = place.sockets / "redis-server"
    if not link.is_symlink() or link.readlink() != found:
        link.unlink(missing_ok=True)
        link.symlink_to(found)
    return link


def url(place: Place, number: int = 0) -> str:
    """The address for Django's settings."""
    return f"unix://{socket_of(place)}?db={number}"


def start(place: Place) -> None:
    """Bring Redis up, whatever an earlier run left. Idempotent."""
    if answers(place):
        return
    left = _left_behind(place)
    if left:
        say("- an earlier Redis still runs here and does not answer; stopping it ...")
        end(left)
    socket_of(place).unlink(missing_ok=True)
    with step("starting Redis"):
        log = place.log / "redis.log"
        options: dict[str, str | Path] = {
            "port": "0",
            "unixsocket": socket_of(place),
            "unixsocketperm": "700",
            "daemonize": "yes",
            "save": "",
            "appendonly": "no",
            "databases": str(DATABASES),
            "dir": place.sockets,
            "logfile": log,
            "loglevel": "warning",
        }
        flags = [part for key, value in options.items() for part in (f"--{key}", value)]
        done = run([_by_its_name(place), *flags], account=place.account)
        must(done, "Starting Redis", f"Its log is {log}.")
        if not until(lambda: answers(place), 10):
            raise Refusal(f"Redis was started but does not answer. Its log is {log}.")


def stop(place: Place) -> None:
    """Stop Redis; harmless when it is down."""
    if _ask(place, b"SHUTDOWN NOSAVE\r\n") is not None:
        until(lambda: not _left_behind(place), 5)
    end(_left_behind(place))
    socket_of(place).unlink(missing_ok=True)


def answers(place: Place) -> bool:
    return _ask(place, b"PING\r\n") == b"+PONG\r\n"


def _ask(place: Place, command: bytes) -> bytes | None:
    """Redis' answer to an inline command; None when nobody listens."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as line:
        line.settimeout(2)
        try:
            line.connect(str(socket_of(place)))
            line.sendall(command)
            return line.recv(64)
        except OSError:
            return None


def _left_behind(place: Place) -> list[int]:
    """Redis processes that were started for this socket (Redis shows it in its title)."""
    wanted = str(socket_of(place)).encode()
    found = []
    for pid in living():
        if name_of(pid) != "redis-server":
            continue
        try:
            title = Path(f"/proc/{pid}/cmdline").read_bytes()
        except OSError:
            continue
        if wanted in title:
            found.append(pid)
    return found
