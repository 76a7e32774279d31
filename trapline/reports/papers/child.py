"""The process that makes a PDF: reads one JSON on standard input, writes the file to standard
output. It fetches nothing, knows no database, and its memory goes with it.

`{"html", "css"}` is laid out by WeasyPrint; `{"register"}` is drawn by `register`, which takes
long tables. A line "page n" on standard error tells how far it is.
"""

from __future__ import annotations

import json
import sys
from typing import Any


def main() -> None:
    asked: dict[str, Any] = json.load(sys.stdin)
    if "register" in asked:
        from trapline.reports.papers.register import draw

        made = draw(asked["register"], _told)
    else:
        made = _laid_out(asked["html"], asked["css"])
    sys.stdout.buffer.write(made)


def _told(page: int) -> None:
    sys.stderr.write(f"page {page}\n")
    sys.stderr.flush()


def _laid_out(html: str, css: str) -> bytes:
    from weasyprint import CSS, HTML

    paper = HTML(string=html, url_fetcher=_nothing).render(
        stylesheets=[CSS(string=css, url_fetcher=_nothing)]
    )
    _told(len(paper.pages))
    made: bytes = paper.write_pdf()
    return made


def _nothing(url: str, *args: Any, **more: Any) -> dict[str, Any]:
    raise ValueError(f"a report loads nothing from outside: {url}")


if __name__ == "__main__":
    main()
