"""Acts sent for a team that the sender is not in yet are taken up when they join it."""

from tests.record.acting import do
from tests.record.phone import AT, HOUR, check, letter
from tests.world import World
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act, Stray
from trapline.lines.models import Check
from trapline.people.models import Person
from trapline.record.sync import receive
from trapline.watch.held import take_strays


def test_a_stray_act_is_taken_up_word_for_word_once_its_sender_joins(
    world: World, other_world: World
) -> None:
    person = Person.objects.get(pk=str(other_world.student.person))
    set_id = world.set("S1")
    raw = letter(world, "log_check", check(set_id), AT)
    (outcome,) = receive(person, [raw], sent_at=AT, received_at=AT)
    assert outcome.state == "held"
    assert take_strays(AT + HOUR) == 0
    assert Stray.objects.count() == 1
    body = {
        "member": new_id(), "name": "Signe of the south", "role": "instructor",
        "sign_in_name": person.sign_in_name,
    }  # fmt: skip
    do(world.manager, "enrol_member", body, at=AT + HOUR)
    assert take_strays(AT + 2 * HOUR) == 1
    assert not Stray.objects.exists()
    with team_scope(world.team):
        act = Act.objects.get(kind="log_check")
        assert (bytes(act.body), act.state, act.sent_by_id) == (raw, "applied", body["member"])
        assert Check.objects.get().at == AT
    assert take_strays(AT + 3 * HOUR) == 0
    (again,) = receive(person, [raw], sent_at=AT, received_at=AT + 3 * HOUR)
    assert (again.state, again.was) == ("known", "applied")


def test_a_stray_act_at_anothers_set_waits_for_a_reviewer_like_any_other(
    world: World, other_world: World
) -> None:
    person = Person.objects.get(pk=str(other_world.student.person))
    raw = letter(world, "log_check", check(world.set("S1")), AT)
    receive(person, [raw], sent_at=AT, received_at=AT)
    body = {
        "member": new_id(), "name": "Signe of the south", "role": "member",
        "sign_in_name": person.sign_in_name,
    }  # fmt: skip
    do(world.manager, "enrol_member", body, at=AT + HOUR)
    assert take_strays(AT + 2 * HOUR) == 1
    with team_scope(world.team):
        assert Act.objects.get(kind="log_check").state == "held"
