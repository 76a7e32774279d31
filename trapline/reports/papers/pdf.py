"""A filed report as PDF, made in a child process."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import threading
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from trapline.reports.papers.tables import heads
from trapline.reports.snapshot import Change

# Above so many rows the register is drawn row by row.
LONG = 500
TIME_LIMIT_S = 300
SVG = re.compile(r"(<svg\b[^>]*>)")  # a drawing has a style of its own, or none
_ROOT = Path(__file__).resolve().parents[3]


class Cancelled(Exception):
    """Whoever asked for the file does not want it any more."""


def as_pdf(
    content: dict[str, Any],
    sha256: str,
    *,
    changes: list[Change] | None = None,
    progress: Callable[[int], bool] = lambda page: True,
) -> bytes:
    """The report as PDF, with its totals, places to sign, page x of y and checksum.

    changes: what an amended report says otherwise. progress: told each page's number; giving
    False stops the work with Cancelled. RuntimeError when the child fails.
    """
    foot = _("SHA-256 of the frozen report: %(sum)s") % {"sum": sha256}
    if len(content["rows"]) > LONG:
        asked: dict[str, Any] = {"register": _register(content, foot, changes or [])}
    else:
        asked = _page(content, foot, changes or [])
    return _made(asked, progress)


def about(content: dict[str, Any]) -> list[str]:
    """Under the title: the licence and the days."""
    licence, period = content["licence"], content["period"]
    return [
        _("Licence %(number)s, %(holder)s; %(authority)s") % licence,
        _("From %(first)s to %(last)s, both included") % period,
    ]


def shown(value: Any) -> str:
    """A cell as it is printed."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    return str(value)


def _register(content: dict[str, Any], foot: str, changes: list[Change]) -> dict[str, Any]:
    said = about(content)
    if changes:
        said.append(_("Amended: %(n)s rows read otherwise than before.") % {"n": len(changes)})
    return {
        "title": content["form"]["title"],
        "about": said,
        "heads": heads(content),
        "rows": [[shown(cell) for cell in row["cells"]] for row in content["rows"]],
        "totals": [[head, shown(value)] for head, value in content["totals"]],
        "sign": content["form"]["sign"],
        "date_word": _("Date"),
        "page_word": _("Page %d of %d"),
        "foot": foot,
    }


def laid_out(template: str, told: dict[str, Any], foot: str = "") -> bytes:
    """A short paper from a template, in the reports' look. RuntimeError when the child fails."""
    html = SVG.sub(rf"\1<style>{_read('chart.css')}</style>", render_to_string(template, told))
    return _made({"html": html, "css": _css(foot)}, lambda page: True)


def _read(name: str) -> str:
    return files("trapline.reports.papers").joinpath(name).read_text("utf-8")


def _css(foot: str) -> str:
    css = _read("paper.css")
    page, of = _("Page %d of %d").split("%d")[:2]
    for word, said in (("FOOT", foot), ("PAGE ", page), (" OF ", of)):
        css = css.replace(f'"{word}"', json.dumps(said, ensure_ascii=False))
    return css


def _page(content: dict[str, Any], foot: str, changes: list[Change]) -> dict[str, Any]:
    rows = [[shown(cell) for cell in row["cells"]] for row in content["rows"]]
    html = render_to_string(
        "paper.html",
        {
            "report": content, "about": about(content), "heads": heads(content), "rows": rows,
            "changes": changes, "wide": len(heads(content)) > 7,
            "totals": [(head, shown(value)) for head, value in content["totals"]],
        },
    )  # fmt: skip
    return {"html": html, "css": _css(foot)}


def _made(asked: dict[str, Any], progress: Callable[[int], bool]) -> bytes:
    command = [sys.executable, "-m", "trapline.reports.papers.child"]
    child = subprocess.Popen(  # noqa: S603 - our own module, no shell
        command, cwd=_ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    complaint: list[str] = []
    stopped = threading.Event()
    listener = threading.Thread(
        target=_listen, args=(child, complaint, stopped, progress), daemon=True
    )
    timer = threading.Timer(TIME_LIMIT_S, child.kill)
    timer.start()
    try:
        assert child.stdin is not None and child.stdout is not None
        listener.start()
        # The child reads all of its input before it writes any of its output.
        child.stdin.write(json.dumps(asked).encode())
        child.stdin.close()
        made = child.stdout.read()
        child.wait()
        listener.join()
    finally:
        timer.cancel()
        child.kill()
        child.wait()
    if stopped.is_set():
        raise Cancelled
    if child.returncode or not made:
        raise RuntimeError(f"no PDF was made: {' '.join(complaint)[-400:]}")
    return made


def _listen(
    child: subprocess.Popen[bytes],
    complaint: list[str],
    stopped: threading.Event,
    progress: Callable[[int], bool],
) -> None:
    assert child.stderr is not None
    for raw in child.stderr:
        line = raw.decode(errors="replace").strip()
        if not line.startswith("page "):
            complaint.append(line)
        elif not progress(int(line.removeprefix("page "))):
            stopped.set()
            child.kill()
            return
