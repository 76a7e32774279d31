"""docker-compose.yml and the Dockerfile, by what can be known without a Docker engine.

Rules of the compose file: the Compose Specification (services, healthcheck.test forms,
depends_on conditions, named volumes) from memory; every command they name is looked up
or run here.
"""

import json
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.setup.places import own_place
from tools import postgres, services
from tools.places import CHECKOUT

TEXT = (CHECKOUT / "docker-compose.yml").read_text()
COMPOSE: dict[str, Any] = yaml.safe_load(TEXT)
SERVICES: dict[str, dict[str, Any]] = COMPOSE["services"]
PROGRAM = ("web", "worker", "beat")
OURS = (*PROGRAM, "migrate")
DOCKERFILE = (CHECKOUT / "Dockerfile").read_text()
IMAGE_COMMAND: list[str] = json.loads(DOCKERFILE.rsplit("CMD ", 1)[1])
SERVICE_KEYS = {
    *("image", "build", "command", "restart", "environment", "volumes", "ports"),
    *("depends_on", "healthcheck"),
}
MOUNT = re.compile(r"^(?P<source>[^:]+):(?P<target>/[^:]+)(:ro)?$")


def command_of(service: str) -> list[str]:
    command: list[str] = SERVICES[service].get("command", IMAGE_COMMAND)
    return command


def test_it_has_the_services_and_only_keys_that_compose_knows() -> None:
    assert set(COMPOSE) == {"name", "x-program", "services", "volumes"}
    assert set(SERVICES) == {"db", "redis", "migrate", "web", "worker", "beat", "proxy"}
    for service in SERVICES.values():
        assert set(service) <= SERVICE_KEYS
        assert service["restart"] in ("unless-stopped", "no")


def test_every_lasting_service_has_a_health_check_and_waits_for_what_it_needs() -> None:
    for name, service in SERVICES.items():
        if name != "migrate":
            assert service["healthcheck"]["test"][0] in ("CMD", "CMD-SHELL")
            assert {"interval", "timeout", "retries"} <= set(service["healthcheck"])
        for needed, rule in service.get("depends_on", {}).items():
            healthy = "healthcheck" in SERVICES[needed]
            wanted = "service_healthy" if healthy else "service_completed_successfully"
            assert rule == {"condition": wanted}
    for name in PROGRAM:
        assert set(SERVICES[name]["depends_on"]) == {"migrate", "redis"}


def test_every_image_is_pinned_to_a_version() -> None:
    images = [service["image"] for name, service in SERVICES.items() if name not in OURS]
    images += re.findall(r"^FROM (\S+)", DOCKERFILE, re.M)
    assert all(re.search(r":\d", image) for image in images)


def test_volumes_are_declared_and_used_and_mounted_files_exist() -> None:
    used = set()
    for service in SERVICES.values():
        for entry in service.get("volumes", []):
            mount = MOUNT.match(entry)
            assert mount, entry
            source = mount["source"]
            if source.startswith("./"):
                assert (CHECKOUT / source).is_file(), source
            else:
                used.add(source)
    assert used == set(COMPOSE["volumes"])
    assert SERVICES["db"]["volumes"][0].startswith("database:")


def test_no_secret_has_a_default() -> None:
    secret = re.compile("KEY|PASSWORD|_URL|SITE|MAIL")
    for service in SERVICES.values():
        for name, value in service.get("environment", {}).items():
            if secret.search(name) and name != "REDIS_URL":
                assert re.search(r"\$\{[A-Z_]+:\?", value), name
    assert ":-" not in TEXT
    assert set(re.findall(r"\$\{([A-Z_]+)", TEXT)) == {
        *("SITE", "SECRET_KEY", "DB_SUPER_PASSWORD", "DB_OWNER_PASSWORD", "DB_APP_PASSWORD"),
        *("EMAIL_URL", "MAIL_FROM"),
    }


def test_the_program_never_learns_the_owners_password() -> None:
    for name in PROGRAM:
        environment = SERVICES[name]["environment"]
        assert environment["DATABASE_URL"].startswith("postgis://lineward_app:")
        assert "OWNER" not in json.dumps(environment)
    owner = SERVICES["migrate"]["environment"]
    assert owner["OWNER_DATABASE_URL"].startswith("postgis://lineward_owner:")
    assert owner["OWN_SCHEMA"] == "1"


def test_only_the_proxy_is_reached_from_outside() -> None:
    assert [name for name, service in SERVICES.items() if "ports" in service] == ["proxy"]
    assert SERVICES["proxy"]["ports"] == ["80:80", "443:443"]
    caddy = (CHECKOUT / "deploy" / "Caddyfile").read_text()
    assert "{$SITE} {" in caddy
    assert "reverse_proxy web:8000" in caddy
    assert "0.0.0.0:8000" in IMAGE_COMMAND


@pytest.mark.parametrize("service", OURS)
def test_every_command_of_our_image_exists(service: str) -> None:
    command = command_of(service)
    assert command[0] == "python"
    if command[1] == "-m":
        # The program reads its own arguments and stops at --help; a wrong option fails first.
        ask = ["--check-config"] if command[2] == "gunicorn" else ["--help"]
        done = called([sys.executable, *command[1:], *ask])
    else:
        assert command[1] == "manage.py"
        done = called([sys.executable, *command[1:3], "--help"])
    assert done.returncode == 0, done.stderr


def test_the_same_programs_run_on_one_machine_as_on_a_server() -> None:
    lines = (CHECKOUT / "deploy" / "Procfile").read_text().splitlines()
    processes = {name: shlex.split(rest) for name, _, rest in (x.partition(":") for x in lines)}
    assert set(processes) == set(PROGRAM)
    for name, words in processes.items():
        command = words[words.index("python") :]
        upto = next(i for i, word in enumerate(command) if word.startswith("--"))
        assert command[:upto] == command_of(name)[:upto]


def called(command: list[str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command, cwd=CHECKOUT, capture_output=True, text=True, timeout=60, check=False
    )


def test_the_database_roles_are_made_as_the_program_expects_them() -> None:
    # The image runs the script as a superuser on an empty database; so do we, for real.
    with own_place() as place:
        services.start(place)
        postgres.query(place, "DROP DATABASE lineward", "template1")
        postgres.query(place, "DROP ROLE lineward_app; DROP ROLE lineward_owner;", "template1")
        postgres.query(place, "CREATE DATABASE server TEMPLATE template0", "template1")
        image = {
            **os.environ,
            "PGHOST": str(place.sockets),
            "POSTGRES_USER": "postgres",
            "POSTGRES_DB": "server",
            "DB_OWNER_PASSWORD": "it's",
            "DB_APP_PASSWORD": "a b",
        }
        script = ["sh", str(CHECKOUT / "deploy" / "db" / "roles.sh")]
        done = subprocess.run(script, env=image, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        extensions = "SELECT string_agg(extname, ' ' ORDER BY extname) FROM pg_extension"
        assert postgres.query(place, extensions, "server") == "btree_gist plpgsql postgis\n"
        owner = "SELECT datdba::regrole FROM pg_database WHERE datname = 'server'"
        assert postgres.query(place, owner, "server") == "lineward_owner\n"
        postgres.query(place, "SET ROLE lineward_owner; CREATE TABLE t ()", "server")
        role = "SELECT rolsuper OR rolcreatedb FROM pg_roles WHERE rolname = 'lineward_app'"
        assert postgres.query(place, role, "server") == "f\n"
        image["DB_APP_PASSWORD"] = ""
        refused = subprocess.run(script, env=image, capture_output=True, text=True, check=False)
        assert refused.returncode != 0
        assert "DB_APP_PASSWORD" in refused.stderr


def test_the_dockerfile_keeps_to_our_list() -> None:
    """Pinned base, hashes, no root at run time, no package lists kept, exec form, files exist."""
    lines = [x for x in DOCKERFILE.replace("\\\n", " ").splitlines() if x and x[0] != "#"]
    known = {"FROM", "RUN", "ENV", "WORKDIR", "COPY", "USER", "EXPOSE", "CMD"}
    assert {line.split()[0] for line in lines} <= known
    assert lines[0].startswith("FROM ")
    assert "--require-hashes" in DOCKERFILE
    assert "--no-install-recommends" in DOCKERFILE
    assert "rm -rf /var/lib/apt/lists/*" in DOCKERFILE
    steps = [line.split()[0] for line in lines]
    assert steps.index("USER") > max(i for i, step in enumerate(steps) if step in ("RUN", "COPY"))
    assert not re.search(r"^USER (root|0)\b", DOCKERFILE, re.M)
    assert "ADD " not in DOCKERFILE
    # The one key that stands here lives for one command and is in no ENV, so in no container.
    assert not re.search(r"^(ENV|ARG).*(KEY|PASSWORD)", DOCKERFILE, re.M)
    kept = (CHECKOUT / ".dockerignore").read_text().split()
    for source in re.findall(r"^COPY (\S+)", DOCKERFILE, re.M):
        assert (CHECKOUT / source).exists(), source
        assert f"!{source}" in kept


def test_what_a_server_installs_is_part_of_what_the_tests_ran_with() -> None:
    def pins(path: Path) -> set[str]:
        return set(re.findall(r"^\S+==\S+", path.read_text(), re.M))

    runs, tests = pins(CHECKOUT / "deploy/requirements.txt"), pins(CHECKOUT / "requirements.txt")
    assert len(runs) > 20
    assert runs < tests


@pytest.mark.parametrize("name", ["requirements.txt", "deploy/requirements.txt"])
def test_every_requirement_is_pinned_with_hashes_and_names_no_address(name: str) -> None:
    text = (CHECKOUT / name).read_text()
    assert "://" not in text
    assert not re.search(r"^\s*--(?!hash)", text, re.M)
    for entry in re.split(r"\n(?=\S)", text.strip()):
        assert re.match(r"[A-Za-z0-9._\[\],-]+==\S+", entry), entry[:60]
        assert "--hash=sha256:" in entry
