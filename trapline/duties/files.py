"""Sets as they stand, made ready for a file."""

from typing import Any
from uuid import UUID

from trapline.duties import lists
from trapline.lines.formats.placed import PathOut, SetOut
from trapline.standing import lists as standing


def sets_out(
    team: UUID, member: UUID | None, line: UUID | None = None
) -> tuple[list[SetOut], list[PathOut]]:
    """Active sets that the member sees (None: all), by label, and the paths of their lines.

    Two statements.
    """
    sets = lists.sets(member).filter(team_id=team, active=True)
    paths = standing.lines(member).filter(team_id=team, path__isnull=False)
    if line is not None:
        sets, paths = sets.filter(line=line), paths.filter(id=line)
    sets = sets.select_related("line", "device", "responsible").order_by("set__label", "id")
    return [_set(one) for one in sets], [_path(one) for one in paths.order_by("name")]


def _set(one: Any) -> SetOut:
    lon, lat = one.place.coords
    return SetOut(
        id=str(one.set_id),
        label=one.set.label,
        line=one.line.name,
        lon=lon,
        lat=lat,
        placed_at=one.placed_at,
        placement=str(one.get_placement_display()),
        device=one.device.mark,
        responsible=one.responsible.name,
        due_at=one.due_at,
    )


def _path(line: Any) -> PathOut:
    return PathOut(str(line.id), line.name, tuple((lon, lat) for lon, lat in line.path.coords))
