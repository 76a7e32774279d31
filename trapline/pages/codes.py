"""QR codes (ISO/IEC 18004) of addresses, as SVG without a style of its own."""

from collections.abc import Iterable, Iterator
from itertools import groupby

from django.utils.html import format_html
from django.utils.safestring import SafeString
from segno import make_qr

QUIET = 4  # modules of white around it, as the standard asks


def qr_svg(address: str, label: str) -> SafeString:
    """The address as a QR code: one path, no style of its own; `label` is read aloud."""
    code = make_qr(address, error="m")
    side = len(code.matrix) + 2 * QUIET
    path = "".join(
        f"M{x + QUIET} {y + QUIET}h{run}v1h-{run}z"
        for y, row in enumerate(code.matrix)
        for x, run in _runs(row)
    )
    return format_html(
        '<svg class="qr" viewBox="0 0 {0} {0}" role="img" aria-label="{1}">'
        '<rect width="{0}" height="{0}" class="qr-paper"/><path d="{2}" class="qr-ink"/></svg>',
        side,
        label,
        path,
    )


def _runs(row: Iterable[int]) -> Iterator[tuple[int, int]]:
    """Where each run of dark modules begins, and how long it is."""
    x = 0
    for dark, modules in groupby(row):
        length = len(list(modules))
        if dark:
            yield x, length
        x += length
