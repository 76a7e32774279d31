"""Every finding there is. Importing this enters them in the catalogue."""

from trapline.findings.kinds import (  # noqa: F401 - each enters its own
    device,
    ground,
    loop,
    parts,
    people,
    season,
    snow,
    visits,
    water,
)
