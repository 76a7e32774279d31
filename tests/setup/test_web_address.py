"""The one TCP port: free, taken, forbidden or no port at all."""

import os
import socket
from pathlib import Path

import pytest

from tests.setup.places import assert_a_sentence, short_folder, up
from tools import web
from tools.say import Refusal


def test_a_free_port_is_taken_as_it_is() -> None:
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port = probe.getsockname()[1]
    web.must_be_free(web.Address("127.0.0.1", port), "demo")


def test_a_busy_port_ends_the_start_with_a_sentence_before_anything_runs() -> None:
    with short_folder() as folder, socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        done = up("run", LINEWARD_HOME=str(folder / "home"), PORT=str(port))
        assert_a_sentence(done, f"Port {port}", f"PORT={port + 1} make run")
        assert not (folder / "home" / "pg").exists()


@pytest.mark.parametrize("said", ["eighty", "0", "65536", "-1"])
def test_what_is_no_port_is_named(said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PORT", said)
    with pytest.raises(Refusal, match=f"PORT={said} is no port"):
        web.from_environment()


@pytest.mark.skipif(os.geteuid() != 0, reason="lays root's rights down for a moment")
def test_a_port_below_1024_is_refused_with_the_reason() -> None:
    floor = Path("/proc/sys/net/ipv4/ip_unprivileged_port_start")
    if int(floor.read_text()) <= 1023:
        pytest.skip("this machine lets everybody use low ports")
    os.seteuid(65534)
    try:
        with pytest.raises(Refusal, match="below 1024 only root may"):
            web.must_be_free(web.Address("127.0.0.1", 1023), "demo")
    finally:
        os.seteuid(0)


def test_a_page_that_nobody_serves_does_not_answer() -> None:
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port = probe.getsockname()[1]
    assert not web.answers(web.Address("127.0.0.1", port))
