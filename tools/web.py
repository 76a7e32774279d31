"""The web address: is the port free, and does the page answer?"""

import os
import socket
import urllib.error
import urllib.request
from dataclasses import dataclass

from tools.say import Refusal


@dataclass(frozen=True)
class Address:
    """Where the web process listens."""

    host: str
    port: int

    @property
    def url(self) -> str:
        shown = "localhost" if self.host in ("127.0.0.1", "0.0.0.0") else self.host  # noqa: S104
        return f"http://{shown}:{self.port}/"


def from_environment() -> Address:
    """BIND and PORT; this machine alone and 8000 when nothing is said."""
    said = os.environ.get("PORT") or "8000"
    if not said.isdigit() or not 0 < int(said) < 65536:
        raise Refusal(f"PORT={said} is no port. Give a number from 1024 to 65535.")
    return Address(os.environ.get("BIND") or "127.0.0.1", int(said))


def must_be_free(address: Address, command: str) -> None:
    """Refuse with a sentence when the port is taken or not allowed."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((address.host, address.port))
        except PermissionError:
            raise Refusal(
                f"You may not use port {address.port}: below 1024 only root may. "
                f"Choose another: PORT=8000 make {command}"
            ) from None
        except OSError as error:
            raise Refusal(
                f"Port {address.port} on {address.host} cannot be used ({error.strerror}); most "
                "likely another program has it. Stop that program, or choose another port: "
                f"PORT={address.port + 1} make {command}"
            ) from None


def answers(address: Address) -> bool:
    """True when GET /healthz says that all is well."""
    host = "127.0.0.1" if address.host == "0.0.0.0" else address.host  # noqa: S104
    try:
        with urllib.request.urlopen(f"http://{host}:{address.port}/healthz", timeout=5) as page:
            return bool(page.status == 200)
    except (urllib.error.URLError, OSError):
        return False
