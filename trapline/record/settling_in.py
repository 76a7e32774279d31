"""Acts by which a team settles in: its people, gear, land and notices, all by the one way in."""

from trapline.record import settling_gear, settling_land, settling_notices, settling_people
from trapline.record.acting import Kind

KINDS: tuple[Kind, ...] = (
    *settling_people.KINDS,
    *settling_gear.KINDS,
    *settling_land.KINDS,
    *settling_notices.KINDS,
)
