"""Pages of gear: lives and spares, what to carry, one device, one part."""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from tests.pages.cast import client_of
from tests.pages.conftest import Clock
from tests.record.acting import do
from tests.world import START, World
from trapline.gear.models import DeviceFact, DeviceKind, KindPart, Part, PartKind
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.standing.models import PartStay

NIGHT = timedelta(days=1)


def triggers(world: World, nights: list[int], failed: int) -> None:
    """Body-gripping sets that stand so many nights; the triggers of the first few break then."""
    for number, stood in enumerate(nights):
        world.set(f"B{number}", "body")
        if number < failed:
            device, trigger = standing(world, "trigger", number)
            do(
                world.manager,
                "replace_part",
                {
                    "device": device, "out": trigger, "becomes": "broken",
                    "part": {"kind": world.part_kinds["trigger"]},
                },
                at=START + stood * NIGHT,
            )  # fmt: skip


def standing(world: World, role: str, number: int = 0) -> tuple[UUID, UUID]:
    with team_scope(world.team):
        stays = PartStay.objects.filter(
            state="built_in", during__upper_inf=True, part__kind__role=role,
            device__mark=f"B{number}-device",
        )  # fmt: skip
        found: tuple[UUID, UUID] = stays.values_list("device_id", "part_id")[0]
        return found


def page(world: World, address: str, **query: Any) -> str:
    answer = client_of(world.manager).get(f"/t/north/gear/{address}", query)
    assert answer.status_code == 200
    return str(answer.content.decode())


def test_under_five_failures_there_is_no_curve_but_counts(world: World, at: Clock) -> None:
    at(START + 40 * NIGHT)
    triggers(world, [3, 5, 8, 10], failed=4)
    shown = page(world, f"part-kinds/{world.part_kinds['trigger']}/")
    assert "Under five failures" in shown
    assert 'class="curve"' not in shown
    assert 'class="steps"' in shown
    assert "No kind of part has five failures" in page(world, "season/")


def test_five_failures_draw_a_curve_and_rank_what_to_inspect(world: World, at: Clock) -> None:
    at(START + 40 * NIGHT)
    triggers(world, [3, 5, 8, 10, 12, 15], failed=6)
    shown = page(world, f"part-kinds/{world.part_kinds['trigger']}/")
    assert 'class="curve"' in shown
    assert 'class="band"' in shown
    assert "Failed by then" in shown
    season = page(world, "season/", nights="30", chance="90")
    assert "its life: 6 failures" in season
    assert "Chance of failing" in season


def test_the_spares_list_costs_what_is_lacking(world: World, at: Clock) -> None:
    at(START + 40 * NIGHT)
    triggers(world, [3, 5, 8, 10, 12, 15], failed=6)
    with team_scope(world.team):
        PartKind.objects.filter(id=world.part_kinds["trigger"]).update(price="1.20")
    found = client_of(world.manager).get("/t/north/gear/season/", {"nights": 30, "chance": 90})
    row = next(r for r in found.context["season"].spares if r.kind.role == "trigger")
    assert row.serving == 6
    assert row.needed >= 1
    assert (row.to_buy, row.cost) == (row.needed, row.needed * row.kind.price)
    surer = client_of(world.manager).get("/t/north/gear/season/", {"nights": 30, "chance": 99})
    sure = next(r for r in surer.context["season"].spares if r.kind.role == "trigger")
    assert sure.needed > row.needed


def test_cables_that_stood_a_few_nights_foretell_nothing(world: World, at: Clock) -> None:
    world.set("S1")
    for days, basis in ((40, "nights"), (101, "catches")):
        at(START + days * NIGHT)
        found = client_of(world.manager).get("/t/north/gear/season/")
        row = next(r for r in found.context["season"].spares if r.kind.role == "cable")
        assert (row.basis, row.needed is None) == (basis, basis == "nights")
        assert row.served == pytest.approx(days)


@pytest.mark.parametrize("query", [{"nights": 0, "chance": 90}, {"nights": 30, "chance": 100}])
def test_an_impossible_season_is_told_at_its_field(
    world: World, at: Clock, query: dict[str, int]
) -> None:
    answer = client_of(world.manager).get("/t/north/gear/season/", query)
    assert answer.status_code == 422
    assert 'class="error"' in answer.content.decode()


def carried(world: World, **said: Any) -> Any:
    with team_scope(world.team):
        DeviceKind.objects.filter(name="snare").update(mass_kg=0.1)
        DeviceKind.objects.filter(name="body").update(mass_kg=1.0)
    for number in range(3):
        world.device("snare", f"free snare {number}")
        world.device("body", f"free body {number}")
    return carried_again(world, **said)


def carried_again(world: World, **said: Any) -> Any:
    asked = {
        "target": world.species["marten"], "worth": 1, "nights": 1, "checks": 5, "sets": 4,
        "mass_kg": 2, "money": 0, "set_up_min": 10, "check_min": 4, "tend_min": 10,
        "assumed_per_100": 1, **said,
    }  # fmt: skip
    return client_of(world.manager).get("/t/north/gear/load/", asked)


def test_the_load_fits_the_pack_and_says_what_binds(world: World, at: Clock) -> None:
    answer = carried(world)
    plan = {kind.name: one.devices for kind, one, _mass, _n in answer.context["plan"]}
    assert plan == {"snare": 3, "body": 1}
    bought = [one.to_buy + one.kits_to_buy for _kind, one, _mass, _n in answer.context["plan"]]
    assert bought == [0, 0]  # nobody has entered a price
    assert "assumed" in answer.content.decode()
    assert "The runner-up" in answer.content.decode()


def test_the_laws_count_of_a_class_and_what_is_at_hand_bind_and_are_named(
    world: World, at: Clock
) -> None:
    answer = carried(world, **{"law-body_gripping": 0, f"assumed-{world.kinds['snare']}": 3})
    plan = {kind.name: one.devices for kind, one, _mass, _n in answer.context["plan"]}
    assert plan == {"snare": 3}
    assert set(answer.context["binds"]) == {"the law (Body-gripping trap)", "snare at hand"}
    words = " ".join(answer.content.decode().split())
    assert "one more snare adds" in words
    assert "One class alone" in words
    refused = carried_again(world, **{"law-snare": -1})
    assert refused.status_code == 422
    assert refused.context["form"].errors.keys() == {"law-snare"}


def test_a_kind_says_how_long_it_takes_to_set_up_and_what_a_whole_one_costs(
    world: World, at: Clock
) -> None:
    with team_scope(world.team):
        DeviceKind.objects.filter(name="body").update(set_up_s=3600, price=8)
    answer = carried(world, set_up_hours=1, mass_kg=20, money=16, sets=20)
    plan = {kind.name: one.devices for kind, one, _mass, _n in answer.context["plan"]}
    assert plan == {"snare": 3}  # a body-gripping trap would take the whole hour
    answer = carried_again(world, set_up_hours=9, mass_kg=20, money=16, sets=20)
    bought = {kind.name: one.to_buy for kind, one, _mass, _n in answer.context["plan"]}
    assert bought == {"snare": 0, "body": 2}


def test_a_kind_without_a_mass_is_left_out_and_named(world: World, at: Clock) -> None:
    with team_scope(world.team):
        DeviceKind.objects.filter(name="body").update(mass_kg=None)
    shown = client_of(world.manager).get("/t/north/gear/load/").content.decode()
    assert "nobody has entered their mass" in shown


@pytest.mark.parametrize("wrong", [{"checks": 0}, {"mass_kg": -1}, {"target": "none"}])
def test_an_impossible_load_is_told_at_its_field(
    world: World, at: Clock, wrong: dict[str, Any]
) -> None:
    answer = carried(world, **wrong)
    assert answer.status_code == 422
    assert 'class="error"' in answer.content.decode()


def test_a_device_names_its_weakest_part_and_what_happened_to_it(world: World, at: Clock) -> None:
    device = world.device("snare", "D1")
    with team_scope(world.team):
        for role, load in (("cable", 4000), ("swivel", 2600), ("lock", 3000)):
            PartKind.objects.filter(id=world.part_kinds[role]).update(breaking_load_n=load)
    shown = page(world, f"devices/{device}/")
    assert "Weakest:" in shown
    assert "Swivel" in shown.split("Weakest:")[1][:200]
    assert "Made" in shown


def test_a_device_is_lent_on_its_page(world: World, at: Clock) -> None:
    device = world.device("snare", "D1")
    browser, address = client_of(world.manager), f"/t/north/gear/devices/{device}/"
    said = {"act": new_id(), "device": device, "how": "lent", "member": world.student.member}
    assert browser.post(address, {**said, "member": ""}).status_code == 422
    assert browser.post(address, {**said, "act": new_id()}).status_code == 302
    with team_scope(world.team):
        assert DeviceFact.objects.get().member_id == world.student.member
    assert "Lent: Signe" in browser.get(address).content.decode()


def test_where_a_swivel_has_been(world: World, at: Clock) -> None:
    world.set("S1")
    with team_scope(world.team):
        part = Part.objects.get(kind_id=world.part_kinds["swivel"]).id
    shown = page(world, f"parts/{part}/")
    assert "S1-device" in shown
    assert "Creek line · S1" in shown


def test_parts_come_into_stock_by_number_and_by_mark(world: World, at: Clock) -> None:
    browser = client_of(world.manager)
    said = {"act": new_id(), "kind": world.part_kinds["lock"], "count": 2, "marks": "L1\nL2\n"}
    assert (
        browser.post("/t/north/gear/stock/", {**said, "count": 0, "marks": ""}).status_code == 422
    )
    for _twice in range(2):
        assert browser.post("/t/north/gear/stock/", said).status_code == 302
    with team_scope(world.team):
        assert sorted(Part.objects.values_list("mark", flat=True)) == ["", "", "L1", "L2"]


def test_stock_and_store_are_counted_by_place_and_what_is_lent_names_the_member(
    world: World, at: Clock
) -> None:
    lent, stored = world.device("snare", "D1"), world.device("snare", "D2")
    world.set("S1")  # its device lies nowhere
    keep = {"device": lent, "how": "lent", "member": world.student.member}
    do(world.manager, "keep_device", keep)
    do(world.manager, "keep_device", {"device": stored, "how": "store", "place": "cabin"})
    locks = {"kind": world.part_kinds["lock"], "parts": [{}, {}, {}], "place": "cabin"}
    do(world.manager, "stock_parts", locks)
    answer = client_of(world.manager).get("/t/north/gear/")
    (place,) = answer.context["places"]
    assert place[0] == "cabin"
    assert [(one.kind, one.ready) for one in place[1]] == [("snare", 1), ("lock as bought", 3)]
    assert "Lent: Signe" in answer.content.decode()
    assert client_of(world.student).get("/t/north/gear/").context["places"] == []


def test_a_kind_that_runs_low_is_marked(world: World, at: Clock) -> None:
    with team_scope(world.team):
        PartKind.objects.filter(id=world.part_kinds["lock"]).update(fewest=3)
    assert "below 3: buy more" in page(world, "")
    do(world.manager, "stock_parts", {"kind": world.part_kinds["lock"], "parts": [{}, {}, {}]})
    assert "below 3: buy more" not in page(world, "")


def test_a_load_becomes_a_pick_list_that_names_what_lies_where(world: World, at: Clock) -> None:
    answer = carried(world)
    browser, address = client_of(world.manager), "/t/north/gear/picks/new/"
    shown = browser.get(address, {"take": answer.context["takes"]})
    choice = shown.context["choice"]
    assert {one.kind for one in choice.devices} == {"snare", "body"}
    said = {
        "act": new_id(), "pick": (pick := new_id()), "name": "Upper creek",
        "carrier": world.student.member, "take": answer.context["takes"],
        "device": [one.id for one in choice.devices], "part": [],
    }  # fmt: skip
    assert browser.post(address, {**said, "name": ""}).status_code == 422
    for _twice in range(2):
        assert browser.post(address, said).status_code == 302
    paper = client_of(world.student).get(f"/t/north/gear/picks/{pick}/").content.decode()
    assert "free snare 0" in paper
    assert "In store, no place said" in paper
    again = browser.post(address, {**said, "act": new_id(), "pick": new_id()})
    assert again.status_code == 422
    assert "is set aside for “Upper creek”" in again.content.decode()
    placing = browser.get("/t/north/sets/new/").content.decode()
    assert "free snare 0, set aside for Upper creek" in placing
    assert browser.get(f"/t/north/gear/picks/{pick}/drop/").status_code == 200
    gone = browser.post(f"/t/north/gear/picks/{pick}/drop/", {"act": new_id(), "note": "Thaw."})
    assert gone.status_code == 302
    assert "set aside" not in browser.get("/t/north/sets/new/").content.decode()


def test_a_pick_list_that_lost_a_device_is_filled_on_its_page(world: World, at: Clock) -> None:
    lost = world.device("snare", "D1")
    pick, kind = new_id(), {"kind": world.kinds["snare"], "devices": 1}
    body = {"pick": pick, "name": "Creek", "wanted": [kind], "devices": [lost]}
    do(world.manager, "pick_gear", body)
    browser, address = client_of(world.manager), f"/t/north/gear/picks/{pick}/"
    assert "short of nothing" in page(world, f"picks/{pick}/fill/")
    do(world.manager, "keep_device", {"device": lost, "how": "lost"}, at=START + NIGHT / 24)
    at(START + NIGHT)
    assert "It is short of: 1 × snare." in " ".join(page(world, f"picks/{pick}/").split())
    assert "Not there; buy or build it first" in page(world, f"picks/{pick}/fill/")
    fresh = world.device("snare", "D2")
    assert "D2" in page(world, f"picks/{pick}/fill/")
    assert browser.post(f"{address}fill/", {"act": new_id()}).status_code == 422
    assert browser.post(f"{address}fill/", {"act": new_id(), "device": fresh}).status_code == 302
    shown = page(world, f"picks/{pick}/")
    assert "It is short of" not in shown
    assert "D2" in shown


def test_a_kind_of_device_is_changed_on_its_page_and_what_was_said_before_stays(
    world: World, at: Clock
) -> None:
    world.device("snare", "D1")
    browser, address = client_of(world.manager), f"/t/north/gear/kinds/{world.kinds['snare']}/"
    form = browser.get(address).context["form"]
    sent = {one.html_name: one.value() for one in form if one.value() not in (None, False, "")}
    sent |= {"mass_kg": "0.12", "volume_l": "0.4", "set_up_min": "8", "price": "3.50"}
    refused = browser.post(address, {**sent, "action": "killing", "price": "-1"})
    assert refused.status_code == 422
    assert refused.context["form"].errors.keys() == {"price"}
    refused = browser.post(address, {**sent, "act": new_id(), "device_class": "cage"})
    assert "There already are some of this kind, so this stays." in refused.content.decode()
    for _twice in range(2):
        assert browser.post(address, {**sent, "act": form["act"].value()}).status_code == 302
    with team_scope(world.team):
        kind = DeviceKind.objects.get(name="snare")
        rows = KindPart.objects.filter(kind_id=kind.id)
        parts = set(rows.values_list("role", "count", "needed", "after_catch"))
    assert (kind.mass_kg, kind.set_up_s, str(kind.price)) == (0.12, 480.0, "3.50")
    assert ("cable", 1, True, "spent") in parts
    browser.post(address, {**sent, "act": new_id(), "mass_kg": "0.2"})
    assert "Mass of one: 0.12 kg → 0.2 kg" in browser.get(address).content.decode()


def test_a_pick_list_without_a_load_says_where_to_find_one(world: World, at: Clock) -> None:
    shown = page(world, "picks/new/", take=["nonsense", f"{world.kinds['snare']}:-1:0"])
    assert "A pick list is made from a load" in shown


def test_a_load_for_energy_shows_proteins_share_beside_it(world: World, at: Clock) -> None:
    marten, lynx = world.species["marten"], world.species["lynx"]
    answer = carried(world, objective="energy", **{f"kcal-{marten}": 1000, f"protein-{marten}": 80})
    assert answer.context["found"].answer.plan.gain > 10
    page = answer.content.decode()
    assert "protein’s share 80" in page
    assert "Lean meat alone does not keep a person." in page
    unsaid = carried_again(world, objective="energy", **{f"kcal-{marten}": 1000})
    assert "protein’s share not known" in unsaid.content.decode()
    nothing = carried_again(world, objective="value", **{f"pelt-{lynx}": ""})
    assert nothing.status_code == 422
    assert "Say below what one animal" in nothing.content.decode()


def test_a_load_for_pelt_value_begins_with_the_teams_own_prices(world: World, at: Clock) -> None:
    from trapline.lines.models import Catch

    set_id = world.set("S1")
    animal = {"animal": new_id(), "species": world.species["marten"], "alive_on_arrival": False,
              "fate": "found_dead"}  # fmt: skip
    world.check(world.student, set_id, START + NIGHT / 2, found="animal", catches=[animal])
    with team_scope(world.team):
        number = Catch.objects.get().animal
    sold = {"animals": [number], "state": "sold", "to": "A buyer", "price": "48.50",
            "currency": "CAD"}  # fmt: skip
    do(world.manager, "move_pelts", sold, at=START + NIGHT)
    at(START + 2 * NIGHT)
    answer = carried(world, objective="value")
    assert answer.context["form"][f"pelt-{world.species['marten']}"].field.initial == 48.5
    assert answer.context["found"].answer.plan.gain > 1
