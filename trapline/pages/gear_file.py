"""Gear as a file: all of it out, and in again by a dry run that shows what would change."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from trapline.gear.formats.columns import COLUMNS, NEEDED
from trapline.ground.clock import now
from trapline.ground.errors import Problem, Refused
from trapline.ground.tables import csv_text
from trapline.ground.words import sentence
from trapline.pages.file_form import FileForm
from trapline.pages.forms import posted
from trapline.pages.guard import LEADS, team_page
from trapline.people.rights import Actor
from trapline.record.gear_rows import PlannedRow
from trapline.record.import_gear import DryRun, dry_run, planned_acts, take_in
from trapline.standing.inventory import gear_csv

MEANS = {
    "what": gettext_lazy("What the row is: part_kind, device_kind, device or part."),
    "id": gettext_lazy("As the export has it. Empty for something new, or found by its name."),
    "name": gettext_lazy("What a kind is called."),
    "mark": gettext_lazy("What is stamped or painted on a device or a part."),
    "kind": gettext_lazy("Of what kind a device or a part is, by its name."),
    "role": gettext_lazy("cable, lock, swivel, support, breakaway, stop, frame, spring, trigger, "
                         "dog, pan, chain, stake."),
    "device_class": gettext_lazy("foothold_coil, foothold_long, body_gripping, snare, "
                                 "cable_restraint, cage."),
    "action": gettext_lazy("holding or killing."),
    "skill": gettext_lazy("The code of the sign-off that placing it asks for."),
    "built_of": gettext_lazy("Parts with semicolons between them: role, how many, and what a catch "
                             "does (spent, freed, stays); optional, if it may lack it."),
    "state": gettext_lazy("Of a device: store, lent, lost, retired. Of a part: stock, inspect, "
                          "built_in, spent, broken, lost, retired."),
    "why": gettext_lazy("Of a part that is retired: worn or other."),
    "place": gettext_lazy("Where it lies."),
    "device": gettext_lazy("The mark of the device that a part is in."),
    "lent_to": gettext_lazy("The name of the member that a device is lent to."),
    "tag": gettext_lazy("The tag that a device or a part bears."),
    "count": gettext_lazy("So many new parts without a mark; 1 if empty."),
    "diameter_m": gettext_lazy("Diameter in metres."),
    "construction": gettext_lazy("Strands by wires: 7x7, 7x19, 1x19."),
    "breaking_load_n": gettext_lazy("Breaking load in newtons."),
    "breaking_load_source": gettext_lazy("Who says so; needed beside a load."),
    "mass_kg": gettext_lazy("Mass of one in kilograms."),
    "volume_m3": gettext_lazy("Volume of one in cubic metres."),
    "jaw_spread_m": gettext_lazy("Jaw spread in metres, measured inside."),
    "price": gettext_lazy("Price of one."),
    "set_up_s": gettext_lazy("Seconds to place one."),
    "check_s": gettext_lazy("Seconds to look at one in order."),
    "fewest": gettext_lazy("Fewest in stock, before more are bought."),
    "life_nights": gettext_lazy("Service life, in nights in a set."),
}  # fmt: skip
_EXAMPLE: tuple[dict[str, str], ...] = (
    {"what": "part_kind", "name": "Cable 2.4 mm, 1.8 m", "role": "cable", "diameter_m": "0.0024",
     "construction": "7x7", "mass_kg": "0.043", "price": "1.40", "fewest": "10"},
    {"what": "part_kind", "name": "Lock", "role": "lock", "price": "0.60"},
    {"what": "device_kind", "name": "Snare 2.4 mm", "device_class": "snare", "action": "holding",
     "built_of": "cable 1 spent; lock 1 freed", "mass_kg": "0.08"},
    {"what": "device", "mark": "SN-01", "kind": "Snare 2.4 mm", "state": "store", "place": "shed"},
    {"what": "part", "kind": "Cable 2.4 mm, 1.8 m", "device": "SN-01"},
    {"what": "part", "kind": "Lock", "device": "SN-01"},
    {"what": "part", "kind": "Cable 2.4 mm, 1.8 m", "place": "shelf 2", "count": "12"},
)  # fmt: skip


class GearFileForm(FileForm):
    """A file of gear, or its text; valid once it can be read as a table."""

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._actor = actor
        self.run: DryRun | None = None

    def taken(self, name: str, raw: bytes) -> None:
        if name and not name.lower().endswith(".csv"):
            raise Refused(Problem("file", "file_no_csv"))
        self.run = dry_run(self._actor, raw, now=now())


@team_page(LEADS, "GET", "POST")
def gear_file(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Choose a file; then a dry run of it, of which nothing is written."""
    form = GearFileForm(posted(request), request.FILES or None, actor=actor)
    shown: dict[str, Any] = {"form": form}
    if request.method == "POST" and form.is_valid() and form.run is not None:
        shown |= _run(form.run)
    return _page(request, shown, wrong=bool(form.errors))


def _run(run: DryRun) -> dict[str, Any]:
    return {
        "run": run,
        "rows": [(one, _reasons(one)) for one in run.rows if one.becomes != "same"],
        "new": run.count("new"),
        "changed": run.count("changed"),
        "same": run.count("same"),
        "acts": run.said() if run.acts else "",
    }


def _reasons(row: PlannedRow) -> list[str]:
    """The columns that are meant, and what is wrong with each."""
    return [
        sentence(one)
        if one.field in ("row", "file", "body", "")
        else _("%(column)s: %(said)s") % {"column": one.field, "said": sentence(one)}
        for one in row.problems
    ]


@team_page(LEADS, "POST")
def take_gear_file(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Take in what a dry run showed: all its acts or none; sent twice, still once."""
    form = GearFileForm(actor=actor)
    try:
        n = take_in(actor, planned_acts(request.POST.get("acts", "")), now=now())
    except Refused as error:
        refused = [sentence(one) for one in error.problems]
        return _page(request, {"form": form, "refused": refused}, wrong=True)
    said = ngettext("%(n)s thing is made or changed.", "%(n)s things are made or changed.", n)
    messages.success(request, said % {"n": n})
    return redirect("gear", team=actor.team_slug)


def _page(request: HttpRequest, shown: dict[str, Any], *, wrong: bool) -> HttpResponse:
    shown |= {"columns": [(name, MEANS[name]) for name in COLUMNS], "needed": NEEDED}
    return render(request, "gear_file.html", shown, status=422 if wrong else 200)


@team_page(LEADS)
def gear_out(request: HttpRequest, actor: Actor) -> HttpResponse:
    """All gear that is not gone, as a CSV file. Five statements beside the guard's."""
    return _file("".join(gear_csv(actor.team)), f"{actor.team_slug}-gear.csv")


@team_page(LEADS)
def gear_example(request: HttpRequest, actor: Actor) -> HttpResponse:
    """A table to begin with."""
    rows = [[one.get(name, "") for name in COLUMNS] for one in _EXAMPLE]
    return _file("".join(csv_text(COLUMNS, rows)), "gear-example.csv")


def _file(text: str, name: str) -> HttpResponse:
    answer = HttpResponse(text, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer
