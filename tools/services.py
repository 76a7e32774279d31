"""Developers' services: `python -m tools.services env|start|stop|status|erase [NAME]`.

`eval "$(.venv/bin/python -m tools.services env)"` starts a private PostgreSQL and Redis
and sets what the settings read. They run until stopped. Two people in one checkout
give each their own NAME, so that their test databases do not meet.
"""

import contextlib
import secrets
import shlex
import sys
from pathlib import Path

from tools import postgres, redis_server
from tools.lock import alone
from tools.places import Place, local_place
from tools.say import Refusal, run_main, say


def start(place: Place) -> None:
    """Bring up the place's PostgreSQL and Redis; harmless when they run."""
    place.make()
    postgres.start(place)
    redis_server.start(place)


def stop(place: Place) -> None:
    """Stop both; harmless when they are down."""
    redis_server.stop(place)
    postgres.stop(place)


def environment(place: Place) -> dict[str, str]:
    """What Lineward's settings read, for this place."""
    return {
        "DATABASE_URL": postgres.url(place, postgres.PROGRAM),
        "OWNER_DATABASE_URL": postgres.url(place, postgres.OWNER),
        "REDIS_URL": redis_server.url(place),
        "SECRET_KEY": secret(place),
        "LINEWARD_MEDIA": str(place.home / "media"),
        "LINEWARD_MAIL_DIR": str(place.home / "mail"),
        "LINEWARD_STATIC": str(place.home / "static"),
    }


def secret(place: Place) -> str:
    """The place's own secret key, made once."""
    path: Path = place.home / "secret"
    if not path.exists():
        path.touch(mode=0o600)
        path.write_text(secrets.token_urlsafe(50))
    return path.read_text()


def main(arguments: list[str]) -> int:
    verbs = ("env", "start", "stop", "status", "erase")
    verb, name = (*arguments, "dev")[:2] if arguments else ("", "")
    if verb not in verbs or not name.replace("-", "").isalnum() or name in ("demo", "run"):
        raise Refusal(f"Say one of {', '.join(verbs)}, and if you like a name: services env anna")
    place = local_place(name)
    place.make()
    with contextlib.redirect_stdout(sys.stderr), alone(place, f"services {name}", patience=60):
        if verb in ("env", "start"):
            start(place)
        if verb in ("stop", "erase"):
            stop(place)
        if verb == "erase":
            place.erase()
    if verb == "env":
        for key, value in environment(place).items():
            say(f"export {key}={shlex.quote(value)}")
    if verb == "status":
        up = redis_server.answers(place) and postgres.answers(place)
        say(f"{name}: {'running' if up else 'stopped'} ({place.home})")
    return 0


if __name__ == "__main__":
    run_main(main)
