"""From a bare machine to a command of `tools` inside `.venv`: packages, environment, go on."""

import os
import sys

from tools import chromium, packages, pyenv
from tools.places import CHECKOUT
from tools.say import Refusal, run_main, say

COMMANDS = {
    "demo": ("tools.up", "demo"),
    "run": ("tools.up", "run"),
    "test": ("tools.suite", "test"),
    "bench": ("tools.suite", "bench"),
    "backup": ("tools.backup", "backup"),
    "restore": ("tools.backup", "restore"),
}


def main(arguments: list[str]) -> int:
    if not arguments or arguments[0] not in COMMANDS:
        raise Refusal(f"Say one of: {', '.join(COMMANDS)}.")
    module, command = COMMANDS[arguments[0]]
    tests = module == "tools.suite"
    packages.ensure(for_tests=tests)
    try:
        python = pyenv.ensure(for_tests=tests)
    except PermissionError as error:
        raise Refusal(
            f"You may not write {error.filename}. Call make as the user who owns {CHECKOUT}, "
            "or give the folder to yourself with: sudo chown -R $(id -un) <folder>"
        ) from None
    if tests:
        os.environ["LINEWARD_CHROMIUM"] = chromium.for_tests(python, lean=command == "test")
        say(f"Browser of the browser tests: {os.environ['LINEWARD_CHROMIUM']}")
    sys.stdout.flush()
    os.chdir(CHECKOUT)
    os.execv(python, [str(python), "-m", module, command, *arguments[1:]])  # noqa: S606


if __name__ == "__main__":
    run_main(main)
