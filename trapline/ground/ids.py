"""Keys of addressable rows: UUID version 7 (RFC 9562), so that keys sort by time of making."""

from uuid import UUID

from uuid_utils import compat


def new_id() -> UUID:
    """A fresh UUIDv7."""
    made: UUID = compat.uuid7()
    return made
