"""`make test`'s exit status is honest, and slow steps are done again only when needed."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.setup.places import own_place
from tools import chromium, packages, postgres, suite
from tools.lock import alone
from tools.places import CHECKOUT
from tools.say import Refusal
from tools.shell import must, run, watch
from tools.stamp import done_before, fingerprint

GOOD, BAD = "def test_one():\n    assert 1 == 1\n", "def test_one():\n    assert 1 == 2\n"


@pytest.mark.parametrize(
    ("check", "ready", "text", "passes"),
    [
        ("true", "true", GOOD, True),
        ("true", "true", BAD, False),
        ("false", "true", GOOD, False),
        ("true", "false", GOOD, False),
        ("true", "true", "", False),  # no test at all is not a pass
    ],
)
def test_the_status_is_good_only_when_checks_and_tests_pass(
    check: str, ready: str, text: str, passes: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "test_it.py").write_text(text)
    (tmp_path / "pytest.ini").write_text("[pytest]\nmarkers =\n    bench\n    long\n")
    monkeypatch.setattr(suite, "CHECKS", {"one check": (check,)})
    monkeypatch.setattr(suite, "READY", {"one thing": (ready,)})
    env = {key: value for key, value in os.environ.items() if "PYTEST" not in key}
    env["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"  # loading them takes ten seconds
    where = ["-p", "xdist", "-n", "0", "-c", str(tmp_path / "pytest.ini"), str(tmp_path)]
    assert (suite._test(env, where) == 0) == passes


def test_ci_runs_make_test_and_nothing_hides_its_status() -> None:
    script = CHECKOUT / ".ci" / "run"
    assert os.access(script, os.X_OK)
    assert subprocess.run(["bash", "-n", script], check=False).returncode == 0
    last = [line for line in script.read_text().splitlines() if line.strip()][-1]
    assert last == "exec make test </dev/null"


def test_ci_fails_when_make_test_fails(tmp_path: Path) -> None:
    (tmp_path / ".ci").mkdir()
    (tmp_path / ".ci" / "run").write_bytes((CHECKOUT / ".ci" / "run").read_bytes())
    for recipe, status in (("@exit 3", False), ("@test $(CI) = true", True)):
        (tmp_path / "Makefile").write_text(f"test:\n\t{recipe}\n")
        done = subprocess.run(["bash", tmp_path / ".ci" / "run"], check=False)
        assert (done.returncode == 0) == status


def test_every_target_of_the_makefile_is_explained_and_its_module_exists() -> None:
    said = must(run(["make", "-s", "help"], cwd=CHECKOUT), "make help")
    assert {line.split()[0] for line in said.splitlines()} >= {"demo", "run", "test", "bench"}
    assert all(len(line.split()) > 2 for line in said.splitlines())


def test_a_place_is_held_by_one_run_at_a_time_and_free_after_it() -> None:
    with own_place() as place:
        with (
            alone(place, "make test"),
            pytest.raises(Refusal, match=rf"make test is already running.*{os.getpid()}"),
            alone(place, "make test"),
        ):
            pass
        with alone(place, "make test"):
            pass


def test_a_changed_file_asks_for_the_step_again(tmp_path: Path) -> None:
    source, stamp = tmp_path / "a.css", tmp_path / "stamp"
    source.write_text("a {}")
    key = fingerprint([source, tmp_path / "missing"])
    assert not done_before(stamp, key)
    stamp.write_text(key)
    assert done_before(stamp, fingerprint([source, tmp_path / "missing"]))
    source.write_text("b {} ")
    assert not done_before(stamp, fingerprint([source, tmp_path / "missing"]))


def test_a_failed_program_is_shown_by_its_last_words_and_what_to_do() -> None:
    done = watch(["sh", "-c", "echo fetching; echo no route to the mirror; exit 100"], "trying")
    with pytest.raises(Refusal, match=r"(?s)Trying failed.*no route to the mirror\nLook there"):
        must(done, "Trying", "Look there.")


def test_nothing_is_missing_on_a_machine_that_runs_these_tests() -> None:
    assert packages.missing(for_tests=True) == []


def test_what_is_missing_is_named_with_its_package(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(postgres, "installed", dict)
    monkeypatch.setattr(shutil, "which", lambda _name: None)
    monkeypatch.delenv("LINEWARD_CHROMIUM", raising=False)
    monkeypatch.setattr(chromium, "packaged", lambda: True)
    assert packages.missing(for_tests=False) == ["postgresql-*-postgis-3", "redis-tools"]
    assert packages.missing(for_tests=True)[-1] == "chromium"


def test_without_apt_the_person_is_told_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda _name: None)
    with pytest.raises(Refusal, match=r"Missing: redis-tools, and there is no apt here"):
        packages.install(["redis-tools"])


def test_a_failed_apt_gets_a_sentence(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    fake = tmp_path / "apt-get"
    fake.write_text("#!/bin/sh\necho 'E: Could not resolve the mirror'\nexit 100\n")
    fake.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    with pytest.raises(Refusal, match=r"(?s)Could not resolve the mirror.*reaches its package"):
        packages._apt("reading the package lists", "update")


def test_a_snaps_stub_is_not_taken_for_a_browser(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    stub = tmp_path / "chromium"
    stub.write_text("#!/bin/sh\nexec snap install chromium\n")
    stub.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.delenv("LINEWARD_CHROMIUM", raising=False)
    assert chromium.find() is None
    stub.write_text("#!/bin/sh\nexec /usr/lib/chromium/chromium\n")
    assert chromium.find(lean=True) == chromium.find() == str(stub)
    lean = stub.rename(tmp_path / "chromium-headless-shell")
    assert chromium.find(lean=True) == str(lean)
    assert chromium.find() is None  # nobody browses with that one
    monkeypatch.setenv("LINEWARD_CHROMIUM", lean.name)
    assert chromium.find() == str(lean)  # a name is looked up: the driver takes paths only
    monkeypatch.setenv("LINEWARD_CHROMIUM", "/nowhere/chromium")
    with pytest.raises(Refusal, match="names /nowhere/chromium, which cannot be run"):
        chromium.find()
