"""Draws the phone's icons from the mark's own measures: `python -m tools.icons`."""

from pathlib import Path

from PIL import Image, ImageDraw

from tools.places import CHECKOUT

PAPER, RULE, INK = "#f4f4ea", "#a3301a", "#1b211d"
OVER = 4  # drawn larger and shrunk, so that edges are smooth
INTO = CHECKOUT / "static" / "phone"


def draw(size: int, margin: float = 0.0) -> Image.Image:
    """The mark in a square of `size` pixels; `margin`: share of the side left free for a mask."""
    side = size * OVER
    image = Image.new("RGB", (side, side), PAPER)
    pen = ImageDraw.Draw(image)
    scale = side * (1 - 2 * margin) / 32
    off = side * margin

    def at(x: float) -> float:
        return off + x * scale

    for x in (11, 14):  # the two rules of the ledger, from edge to edge
        pen.rectangle((at(x - 0.75), 0, at(x + 0.75), side), fill=RULE)
    ring = (at(22 - 6.25), at(16 - 6.25), at(22 + 6.25), at(16 + 6.25))
    pen.ellipse(ring, outline=INK, width=round(2.5 * scale))
    return image.resize((size, size), Image.Resampling.LANCZOS)


def main(into: Path = INTO) -> None:
    """Write icon-192.png, icon-512.png and icon-mask.png."""
    for name, size, margin in (("192", 192, 0.0), ("512", 512, 0.0), ("mask", 512, 0.12)):
        image = draw(size, margin).quantize(32)
        image.save(into / f"icon-{name}.png", optimize=True)


if __name__ == "__main__":
    main()
