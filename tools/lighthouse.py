"""Rate the phone's page of a running demo with Lighthouse: `python -m tools.lighthouse [ADDRESS]`.

A developer's tool: it needs Node.js and fetches Lighthouse through npm. It signs in as the student
whom `make demo` names and asks for accessibility and best practices of 100 and performance of 95.
"""

import json
import os
import shutil
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from tools.chromium import find
from tools.say import Refusal, run_main, say
from tools.shell import must, run

GOALS = {"accessibility": 100, "best-practices": 100, "performance": 95}
PACKAGE = "lighthouse@12"
SIGN_IN = ("brita", "kettle moss lantern 61")


def main(arguments: list[str]) -> int:
    """Print each score and what cost points. 1 when a goal is missed."""
    address = (arguments[0] if arguments else "http://localhost:8000").rstrip("/")
    browser, npx = find(), shutil.which("npx")
    if browser is None or npx is None:
        raise Refusal("This needs Chromium and Node.js' npx. Install both and call it again.")
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        told, profile = Path(folder) / "told.json", Path(folder) / "profile"
        page = _signed_in(address, browser, profile)
        command = [
            npx, "--yes", PACKAGE, page, "--quiet", "--output=json", f"--output-path={told}",
            # The sign-in lies in the profile; the phone's page was not opened with it yet.
            "--disable-storage-reset", f"--only-categories={','.join(GOALS)}",
            f"--chrome-flags=--headless=new --no-sandbox --user-data-dir={profile}",
        ]  # fmt: skip
        must(run(command, env=os.environ | {"CHROME_PATH": browser}), "Lighthouse")
        report = json.loads(told.read_text())
    return _tell(report)


def _signed_in(address: str, browser: str, profile: Path) -> str:
    """Sign in as the student, in a profile of its own; the address of their team's phone page."""
    with sync_playwright() as playwright:
        context = playwright.chromium.launch_persistent_context(
            str(profile), executable_path=browser, args=["--no-sandbox"]
        )
        page = context.new_page()
        page.goto(f"{address}/sign-in/")
        page.fill("input[name=username]", SIGN_IN[0])
        page.fill("input[name=password]", SIGN_IN[1])
        page.click("main button")
        page.wait_for_url("**/t/**")
        team = page.url.split("/t/")[1].split("/")[0]
        context.close()
    return f"{address}/t/{team}/phone/"


def _tell(report: dict[str, object]) -> int:
    missed = False
    categories: dict[str, dict[str, object]] = report["categories"]  # type: ignore[assignment]
    audits: dict[str, dict[str, object]] = report["audits"]  # type: ignore[assignment]
    for name, goal in GOALS.items():
        score = round(100 * float(str(categories[name]["score"])))
        missed = missed or score < goal
        say(f"{name}: {score} (at least {goal})")
        for one in categories[name]["auditRefs"]:  # type: ignore[attr-defined]
            audit = audits[one["id"]]
            if one["weight"] and audit["score"] is not None and float(str(audit["score"])) < 1:
                say(f"  - {audit['title']}: {audit.get('displayValue', audit['score'])}")
    return int(missed)


if __name__ == "__main__":
    run_main(main)
