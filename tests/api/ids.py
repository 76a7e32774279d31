"""What else the API's routes are filled with in the permission table."""

from datetime import timedelta
from uuid import UUID

from tests.world import START, World
from trapline.duties.models import Duty
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act
from trapline.land.models import Zone
from trapline.lines.models import Catch
from trapline.record.desk import submit
from trapline.rulebook.models import Authority, Version


def api_ids(world: World, own: UUID, others: UUID) -> dict[str, str]:
    """Ids by the names that tests/permission_table_api.py gives them."""
    feature, permission = _on_the_land(world)
    closure = _closed(world)
    paper = new_id()
    body = {
        "paper": paper, "licence": world.licence, "agent": world.student.member, "may": ["tend"],
        "reference": "Letter 4", "valid_from": "2025-07-01", "valid_until": "2026-06-30",
    }  # fmt: skip
    submit(world.instructor, "give_paper", body, at=START)
    catches = [_caught(world, set_id) for set_id in (own, others)]
    with team_scope(world.team):
        duties = [Duty.objects.get(set_id=one, kind="check", state="open") for one in (own, others)]
        ids = {
            "id": new_id(),
            "member": world.student.member,
            "licence": world.licence,
            "paper_id": paper,
            "part_kind": world.part_kinds["cable"],
            "feature": feature,
            "permission": permission,
            "catch": catches[0],
            "others_catch": catches[1],
            "animal": Catch.objects.get(id=catches[0]).animal,
            "duty": duties[0].id,
            "others_duty": duties[1].id,
            "closure_id": closure,
            "rulebook": Version.objects.get().id,
            "zone": Zone.objects.get().id,
            "others_act": Act.objects.filter(kind="draw_line").latest("received_at").id,
        }
    return {**{name: str(one) for name, one in ids.items()}, "kind": "refused", "key": "0" * 15}


def _on_the_land(world: World) -> tuple[UUID, UUID]:
    feature, permission = new_id(), new_id()
    trail = {"type": "LineString", "coordinates": [[-128.5, 61.9], [-128.4, 61.95]]}
    drawn = {"feature": feature, "kind": "trail", "name": "Old trail", "shape": trail}
    submit(world.manager, "draw_feature", drawn, at=START)
    parcel = {
        "type": "Polygon",
        "coordinates": [[[-128.5, 61.8], [-128.3, 61.8], [-128.3, 62.0], [-128.5, 61.8]]],
    }
    kept = {
        "permission": permission, "parcel": parcel, "name": "East parcel", "holder": "A neighbour",
        "valid_from": "2025-07-01", "valid_until": "2026-06-30",
    }  # fmt: skip
    submit(world.manager, "keep_permission", kept, at=START)
    return feature, permission


def _closed(world: World) -> UUID:
    closure = new_id()
    with team_scope(world.team):
        authority = Authority.objects.get(code="territory").id
    body = {
        "closure": closure, "authority": authority, "species": world.species["lynx"],
        "from_at": START, "reference": "Notice 4",
    }  # fmt: skip
    submit(world.manager, "close_by_notice", body, at=START)
    return closure


def _caught(world: World, set_id: UUID) -> UUID:
    catch = {
        "animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False,
        "fate": "found_dead",
    }  # fmt: skip
    check = world.check(
        world.instructor, set_id, START + timedelta(hours=2), found="animal", catches=[catch]
    )
    with team_scope(world.team):
        found: UUID = Catch.objects.get(check_made_id=check).id
    return found
