"""`make clean`: stop and remove what this checkout's `.local/` holds. `make run`'s data stays."""

from tools import services
from tools.lock import alone
from tools.places import LOCAL, local_place
from tools.say import run_main, say, step
from tools.up import end_leftovers


def main(_arguments: list[str]) -> int:
    for entry in sorted(LOCAL.iterdir()) if LOCAL.is_dir() else []:
        if not (entry / "log").is_dir():
            continue
        place = local_place(entry.name)
        with alone(place, f"`{entry.name}`"), step(f"removing {place.home}"):
            end_leftovers(place)
            services.stop(place)
            place.erase()
        if entry.is_symlink():
            entry.unlink()
    say("Clean.")
    return 0


if __name__ == "__main__":
    run_main(main)
