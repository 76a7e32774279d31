"""A register of ten thousand catches as PDF: its time, and the memory of the process that draws it.

The forms are the shipped ones with invented rows; no database is needed.
"""

import io
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from tests.bench.measure import tell
from trapline.reports.form import read_form, shipped
from trapline.reports.papers.pdf import as_pdf

ROWS, LIMIT_S, LIMIT_MB = 10_000, 30, 200
pytestmark = pytest.mark.bench


WATCHED = """#!{python}
import resource, subprocess, sys
code = subprocess.run([{python!r}, *sys.argv[1:]]).returncode
with open({told!r}, "w") as file:
    file.write(str(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss))
sys.exit(code)
"""


def test_ten_thousand_catches_become_a_pdf_in_half_a_minute_and_200_mb(
    capsys: Any, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    # The child is started by a small process: a fork of this one would count with its own memory.
    starter, told = tmp_path / "python", tmp_path / "memory"
    starter.write_text(WATCHED.format(python=sys.executable, told=str(told)))
    starter.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(starter))
    content = register(ROWS)
    began = time.perf_counter()
    made = as_pdf(content, "ab" * 32)
    took = time.perf_counter() - began
    memory = int(told.read_text()) / 1024
    pages = PdfReader(io.BytesIO(made)).pages
    tell(
        capsys,
        f"{ROWS:,} catches to {len(pages)} pages of PDF: {took:.1f} s (at most {LIMIT_S}),"
        f" {memory:.0f} MB (at most {LIMIT_MB})",
    )
    last = " ".join(page.extract_text() for page in pages[-2:])
    assert str(ROWS) in last and f"T-{ROWS}" in last
    assert took <= LIMIT_S and memory <= LIMIT_MB


def register(rows: int) -> dict[str, Any]:
    """A filed log of each animal, as it is frozen, with so many of them."""
    form = read_form(shipped()["animal-log"]).model_dump(mode="json", by_alias=True)
    return {
        "form": form,
        "licence": {"number": "L-1", "authority": "Office (invented)", "holder": "Ida Strand"},
        "period": {"first": "2025-11-01", "last": "2026-02-28"},
        "rows": [
            {"key": str(n), "cells": [n, "05/01/2026", "Marten", "M", "A", "A", "Body-gripping",
                                      f"T-{n}", f"S-{n}"]}
            for n in range(1, rows + 1)
        ],
        "totals": [["Animals: Marten", rows]],
        "nil": False,
    }  # fmt: skip
