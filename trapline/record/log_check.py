"""Log a check: what was found at a set, what was done, what was caught."""

from uuid import UUID
from zoneinfo import ZoneInfo

from trapline.binding.bind import Applying, applying, bound_after, choose
from trapline.binding.world import World
from trapline.calc.deadlines import tending_forbidden, to_us, visit_counts
from trapline.duties.models import Kind as DutyKind
from trapline.duties.refresh import learned_late, refresh_checks, visit_fell_away
from trapline.duties.single import OF_A_SET, close, open_now
from trapline.gear.models import PartFact
from trapline.ground import sql
from trapline.lines.models import Check
from trapline.lines.words import Done, Found, Gone, HowSeen
from trapline.record.acting import Desk, Kind
from trapline.record.after import refresh_found, settle
from trapline.record.agent_papers import agent_flags
from trapline.record.asking import ask_of_catches, handed_on, rules_now
from trapline.record.at_hand import SetAtHand, must_stand, set_at_hand
from trapline.record.catching import dispatch_flags, write_catches
from trapline.record.check_body import CheckSaid
from trapline.record.parts import parts_moved
from trapline.record.rearranging import rearrange
from trapline.record.waiting_ends import end_waiting
from trapline.standing.fold import fold

# A look "at the set" from farther than this, and than the position's own accuracy, is shown to a
# reviewer. Common practice, no source: farther than a set's noted place is usually off.
FAR_M = 100.0


def apply(desk: Desk, body: CheckSaid) -> None:
    hand = set_at_hand(desk, body.set)
    if not desk.overruled:
        must_stand(desk, hand)
    world = World(desk.received_at)
    rules = applying(desk.team, [body.set], world)
    version = rules.sets.version
    if body.catches and version is None:  # the set has ended, so no rules were read with it
        version = rules_now(desk)
    flags = flags_of(desk, hand, rules, body)
    late = desk.at < hand.last_visit_at or not hand.active
    if not late and _uneventful(hand, body):
        with sql.together():
            write_check(desk, hand, body, flags, version)
            _go_on(desk, hand, body, rules, world)
            if desk.owed is not None:
                desk.owed.write_down(desk.team, desk.received_at)
        return
    rearranged = write_check(desk, hand, body, flags, version)
    if rearranged or late:
        settle(desk, hand.id, since=desk.at, arranged=rearranged, caught=bool(body.catches))
        if late and _counts(body):
            _met_late(desk, hand, rules, world)
    else:
        _go_on(desk, hand, body, rules, world)


def _uneventful(hand: SetAtHand, body: CheckSaid) -> bool:
    """Nothing but the check itself is to be written."""
    quiet = not body.catches and body.ends_waiting is None and body.gone_how is None
    stands = body.placement_seen in (None, hand.placement) and set(body.done) <= {Done.LEFT}
    return quiet and stands and hand.search_since is None


def _go_on(desk: Desk, hand: SetAtHand, body: CheckSaid, rules: Applying, world: World) -> None:
    """The newest look at a set that stays as it stood."""
    fold(desk.team, [hand.id], since=desk.at, arranged=False)
    visit = to_us(desk.at) if _counts(body) else None
    bound = choose(rules, world, visit_us=visit)
    refresh_checks(bound, desk.received_at, act=desk.act, newest=True)
    refresh_found(desk, hand.id, caught=bool(body.catches))


def _met_late(desk: Desk, hand: SetAtHand, rules: Applying, world: World) -> None:
    bound = bound_after(rules, world, to_us(desk.at))
    learned_late(bound, hand.id, at=desk.at, moment=desk.received_at, act=desk.act)


def visits_changed(desk: Desk, hand: SetAtHand, wrong: Check, body: CheckSaid | None) -> None:
    """A correction that makes a visit of what was none, or none of a visit: its duties follow."""
    counts = body is not None and _counts(body)
    if wrong.counts and not counts:
        visit_fell_away(desk.team, hand.id, at=desk.at, moment=desk.received_at)
    elif counts and not wrong.counts:
        world = World(desk.received_at)
        _met_late(desk, hand, applying(desk.team, [hand.id], world), world)


def write_check(
    desk: Desk,
    hand: SetAtHand,
    body: CheckSaid,
    flags: list[str],
    version: UUID | None,
    corrects: Check | None = None,
) -> bool:
    """Write the check and all it brings with it; whether the set is arranged otherwise now.

    version: the rulebook's in force, by which something may be asked of what was caught.
    """
    _insert(desk, hand, body, flags, corrects)
    if corrects is not None:
        undo(desk, corrects)
    caught = []
    if body.catches:
        caught = write_catches(desk, hand, body)
    if caught or corrects is not None:
        carried = handed_on(corrects, caught) if corrects is not None else None
        ask_of_catches(desk, hand, caught, version, carried=carried)
    if body.ends_waiting is not None:
        end_waiting(desk, body)
    _search(desk, hand, body)
    rearranged = rearrange(desk, hand, body)
    if Done.PULLED in body.done:
        close(
            desk.team, *OF_A_SET, at=desk.at, moment=desk.received_at, act=desk.act, set_id=hand.id
        )
    return rearranged


SAID = {
    "how_seen", "seen_from_m", "supervision", "supervised_by", "accuracy_m", "found", "done",
    "placement_seen", "sign", "gone_how", "water_depth_m", "snow_depth_m", "reason", "note",
}  # fmt: skip


def _insert(
    desk: Desk, hand: SetAtHand, body: CheckSaid, flags: list[str], corrects: Check | None
) -> None:
    said = body.model_dump(mode="json", include=SAID)
    lon, lat = body.position or (None, None)
    values = {
        **said, "team": desk.team, "act": desk.act, "at": desk.at, "id": body.check,
        "set": hand.id, "by": desk.actor.member,
        "tz": hand.tz, "local_date": desk.at.astimezone(ZoneInfo(hand.tz)).date(),
        "lon": lon, "lat": lat, "sign": body.sign or "", "gone_how": body.gone_how or "",
        "placement_seen": body.placement_seen or "", "counts": _counts(body), "flags": flags,
        "corrects": corrects.id if corrects else None, "far_m": FAR_M,
    }  # fmt: skip
    sql.run("trapline.record", "check", values)


def undo(desk: Desk, corrected: Check) -> None:
    """What a check that is now corrected had done to its set and its parts is so no longer."""
    fold(desk.team, [corrected.set_id], since=corrected.at)
    moved = PartFact.objects.filter(act_id=corrected.act_id).values_list("part_id", flat=True)
    if parts := list(moved):
        parts_moved(desk, parts)


def _search(desk: Desk, hand: SetAtHand, body: CheckSaid) -> None:
    """A device that was dragged off is searched for, until a later look finds it."""
    since = hand.search_since
    if since is not None and desk.at >= since:
        if body.found not in (Found.GONE, Found.NOT_REACHED):
            close(
                desk.team, DutyKind.SEARCH, at=desk.at, moment=desk.received_at, act=desk.act,
                set_id=hand.id,
            )  # fmt: skip
    elif body.gone_how == Gone.DRAGGED and hand.active and desk.at >= hand.last_visit_at:
        open_now(
            desk.team, DutyKind.SEARCH, at=desk.at, moment=desk.received_at,
            who=hand.responsible, of_line=hand.line, set_id=hand.id,
        )  # fmt: skip


def flags_of(desk: Desk, hand: SetAtHand, rules: Applying, body: CheckSaid) -> list[str]:
    """What a reviewer should see about this check: codes, none of which stops it."""
    flags = list(desk.flags)
    if desk.clock_flagged:
        flags.append("clock_disagrees")
    if rules.rules is not None and _counts(body) and len(rules.sets.ids):
        zone = ZoneInfo(hand.tz)
        lat, lon = float(rules.sets.lat[0]), float(rules.sets.lon[0])
        forms = [rules.rules.forms[number] for number in rules.rule_no.tolist()]
        if any(tending_forbidden(form, desk.at, zone, lat, lon) for form in forms):
            flags.append("tended_in_forbidden_hours")
        if not all(visit_counts(form, desk.at, zone, lat, lon) for form in forms):
            flags.append("outside_visiting_window")
    flags += agent_flags(desk, hand, rules.sets.version, body, tended=_counts(body))
    return flags + dispatch_flags(desk, body)


def _counts(body: CheckSaid) -> bool:
    """A visit is a check that reached the set; a camera's picture is none."""
    return body.found != Found.NOT_REACHED and body.how_seen != HowSeen.CAMERA


KIND = Kind("log_check", {1: CheckSaid}, apply)
