"""A file of sets, whichever kind it is: by the ending of its name, a text by how it begins."""

from trapline.ground.errors import Problem, Refused
from trapline.lines.formats import csv_in, gpx_in
from trapline.lines.formats.draft import Row

_READERS = {"gpx": gpx_in.read, "csv": csv_in.read}


def read_file(name: str, raw: bytes) -> list[Row]:
    """The rows of a file, each with its line. Raises Refused when it cannot be taken as a whole."""
    reader = _READERS.get(name.rpartition(".")[2].lower())
    if reader is None:
        raise Refused(Problem("file", "file_other_kind"))
    return reader(raw)


def read_text(text: str) -> list[Row]:
    """The rows of a file's text: GPX when it begins as XML does, else a table."""
    kind = "gpx" if text.lstrip("\ufeff \t\r\n").startswith("<") else "csv"
    return _READERS[kind](text.encode())
