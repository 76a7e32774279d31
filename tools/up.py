"""`make demo` and `make run`: everything up, in order, until Ctrl-C; then everything down."""

import os
import signal
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

from tools import postgres, pyenv, services, web
from tools.lock import alone
from tools.places import CHECKOUT, Place, local_place, own_place
from tools.processes import end, marked, until
from tools.say import Refusal, run_main, say, step
from tools.shell import must, run
from tools.stamp import done_before, fingerprint

MARK = "LINEWARD_RUN"
ANY_TEAM = "SELECT EXISTS (SELECT FROM people_team)"
ANY_PERSON = "SELECT EXISTS (SELECT FROM people_person)"
SIGN_INS = "sign-ins.txt"
PATIENCE = 120  # seconds for the page to answer
PROCFILE = CHECKOUT / "deploy" / "Procfile"


def main(arguments: list[str]) -> int:
    command = arguments[0] if arguments else ""
    if command not in ("demo", "run"):
        raise Refusal("Say demo or run.")
    place = local_place("demo") if command == "demo" else own_place()
    address = web.from_environment()
    place.make()
    with alone(place, f"make {command}"):
        end_leftovers(place)
        web.must_be_free(address, command)
        if command == "run" and not (place.data / "PG_VERSION").exists():
            _asks_for_the_first_manager()  # refused now rather than after a minute's work
        try:
            services.start(place)
            env = environment(place, address)
            _bring_up_to_date(place, env)
            if command == "demo":
                _load_demo(place, env)
            else:
                _first_manager(place, env)
            return _serve(place, address, env, command)
        finally:
            signal.signal(signal.SIGINT, signal.SIG_IGN)  # once is enough: we are stopping
            with step("stopping everything"):
                end_leftovers(place)
                services.stop(place)


def environment(place: Place, address: web.Address) -> dict[str, str]:
    """The environment of every process of this run."""
    known = services.environment(place)
    hosts = [os.environ.get("ALLOWED_HOSTS", ""), "localhost", "127.0.0.1"]
    return {
        **os.environ,
        **known,
        "ALLOWED_HOSTS": ",".join(filter(None, hosts)),
        "DEBUG": "0",
        "BIND": address.host,
        "PORT": str(address.port),
        "LINEWARD_BEAT": str(place.home / "beat"),
        "PATH": f"{Path(sys.executable).parent}:{os.environ.get('PATH', '')}",
        "PYTHONUNBUFFERED": "1",
        MARK: place.mark,
    }


def end_leftovers(place: Place) -> None:
    """End what carries this place's mark: our own children, or a killed run's orphans."""
    end(marked(MARK, place.mark))


def manage(env: dict[str, str], *arguments: str, shown: bool = False, owner: bool = False) -> str:
    """Run manage.py; shown lets it talk to the person, else its output is returned."""
    env = env | {"OWN_SCHEMA": "1"} if owner else env
    # Django's own checks belong to the tests; here their warnings would only stand in the way.
    command = [sys.executable, "manage.py", *arguments, "--skip-checks"]
    if not shown:
        return must(run(command, env=env, cwd=CHECKOUT), f"manage.py {arguments[0]}")
    if subprocess.run(command, env=env, cwd=CHECKOUT, check=False).returncode != 0:  # noqa: S603
        raise Refusal(f"manage.py {arguments[0]} did not finish; its words stand above.")
    return ""


def _bring_up_to_date(place: Place, env: dict[str, str]) -> None:
    """Tables and static files, each only when the files it comes from have changed."""
    code = CHECKOUT / "trapline"
    settings = [code / "settings.py", pyenv.TO_RUN]
    tables = fingerprint([*settings, *code.glob("*/migrations/*.py"), place.data / "PG_VERSION"])
    stamp = place.home / "tables-stamp"
    if not done_before(stamp, tables):
        with step("bringing the tables up to date"):
            manage(env, "migrate", "--noinput", "-v", "0", owner=True)
        stamp.write_text(tables)
    looks = fingerprint([*settings, *(CHECKOUT / "static").rglob("*"), *code.glob("*/statics.py")])
    stamp = Path(env["LINEWARD_STATIC"]) / ".stamp"
    if not done_before(stamp, looks):
        with step("collecting the pages' style and scripts"):
            manage(env, "collectstatic", "--noinput", "-v", "0")
        stamp.write_text(looks)


def _load_demo(place: Place, env: dict[str, str]) -> None:
    """Load the invented team once; one that was cut off halfway is begun again."""
    unfinished = place.home / "demo-unfinished"
    if unfinished.exists():
        say("- an earlier start was cut off while it loaded the demo; beginning again ...")
        postgres.forget(place)
        (place.home / "tables-stamp").unlink(missing_ok=True)
        postgres.prepare(place)
        _bring_up_to_date(place, env)
    elif _true(place, ANY_TEAM):
        return
    unfinished.touch()
    with step("loading the invented team"):
        manage(env, "demo", shown=True)
        # Kept, since asking again costs a start two seconds.
        (place.home / SIGN_INS).write_text(manage(env, "demo", "--sign-ins"))
    unfinished.unlink()


def _first_manager(place: Place, env: dict[str, str]) -> None:
    if _true(place, ANY_PERSON):
        return
    if _asks_for_the_first_manager():
        say("\nNobody is here yet. Who runs the team?")
        manage(env, "first_manager", shown=True)
    else:
        manage(env, "first_manager", "--no-input", shown=True)


def _asks_for_the_first_manager() -> bool:
    """Whether there is a terminal to ask in; without one the environment must name them."""
    if sys.stdin.isatty():
        return True
    if "LINEWARD_PASSWORD" in os.environ:
        return False
    raise Refusal(
        "There is nobody in this database yet, and here is no terminal to ask for the first "
        "manager. Call make run in one, or set LINEWARD_TEAM, LINEWARD_ADDRESS, LINEWARD_NAME, "
        "LINEWARD_SIGN_IN_NAME and LINEWARD_PASSWORD."
    )


def _true(place: Place, sql: str) -> bool:
    return postgres.query(place, sql).strip() == "t"


def _serve(place: Place, address: web.Address, env: dict[str, str], command: str) -> int:
    log = place.home / "lineward.log"
    say("- starting web, worker and beat ...")
    with log.open("wb") as sink:
        crew = subprocess.Popen(  # noqa: S603 - our own command
            [sys.executable, "-m", "honcho", "start", "-f", PROCFILE, "-e", os.devnull, "-d", "."],
            env=env,
            cwd=CHECKOUT,
            stdin=subprocess.DEVNULL,
            stdout=sink,
            stderr=subprocess.STDOUT,
            start_new_session=True,  # Ctrl-C comes to us; we pass it on in order
        )
        stopped = False
        try:
            until(lambda: web.answers(address) or crew.poll() is not None, PATIENCE)
            if crew.poll() is None and web.answers(address):
                _greet(place, address, command)
                crew.wait()
        except KeyboardInterrupt:
            stopped = True
            say()
        finally:
            if crew.poll() is None:
                crew.terminate()
                with suppress(subprocess.TimeoutExpired):
                    crew.wait(10)
    if stopped:
        return 0
    tail = "\n".join(f"    {line}" for line in log.read_text().splitlines()[-12:])
    raise Refusal(
        f"One of web, worker and beat stopped or never answered. The end of {log}:\n{tail}\n"
        f"Correct what it names and call make {command} again; nothing stored is lost."
    )


def _greet(place: Place, address: web.Address, command: str) -> None:
    say(f"\nLineward is at {address.url}")
    sign_ins = place.home / SIGN_INS
    if sign_ins.exists():
        say(sign_ins.read_text().rstrip())
    if command == "run":
        say(f"Its data lies in {place.home}; make backup writes a copy of it.")
    say(f"The log is {place.home / 'lineward.log'}. Ctrl-C stops everything.")


if __name__ == "__main__":
    run_main(main)
