"""The cautions of the trade: one catalogue, and which act is done under which of them.

Common practice, no single source, but for two figures: 74 °C (165 °F) is the temperature to which
agencies of food safety have game cooked through; that freezing does not kill the trichinella of
northern game is stated by the same agencies. Both from memory.
"""

from collections.abc import Collection
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class Caution:
    """What can hurt, and the usual care. `code` names it in pages and tests."""

    code: str
    title: str | Promise
    text: str | Promise


CAUTIONS: dict[str, Caution] = {
    one.code: one
    for one in (
        Caution(
            "body_gripping",
            _("Body-gripping traps"),
            _(
                "They break fingers and hands. Use a setting tool; the safety catch goes on each "
                "spring first and comes off last. Keep your hands out of the jaws, and carry what "
                "frees a caught hand."
            ),
        ),
        Caution(
            "springs",
            _("Springs"),
            _(
                "They hold when they look slack. Keep your fingers outside the jaws, work the pan "
                "from below, and let no sleeve or glove catch."
            ),
        ),
        Caution(
            "ice",
            _("Ice"),
            _(
                "No mark and no reading says that it is safe: it tells where and when somebody "
                "measured. Test it again before every stretch, carry picks and a rope, go with "
                "somebody, and turn back when in doubt."
            ),
        ),
        Caution(
            "cold_alone",
            _("Cold and alone"),
            _(
                "Tell someone your way and when you will be back. Carry dry clothes, a light, the "
                "means to make fire and the means to call."
            ),
        ),
        Caution(
            "distance",
            _("A held animal"),
            _(
                "Keep your distance. Keep people and dogs away. Do not touch it, living or "
                "dead: it bites and claws when it looks still, and bites and body fluids carry "
                "rabies and other diseases."
            ),
        ),
        Caution(
            "dispatch",
            _("Dispatch"),
            _(
                "By someone trained and signed off for it, by a means the rules allow, quickly and "
                "once. If you are not, call and wait."
            ),
        ),
        Caution(
            "firearms",
            _("Firearms"),
            _(
                "Treat every one as loaded. Know what stands behind the animal; frozen ground, ice "
                "and rock throw a bullet back. Carry it unloaded over rough ground."
            ),
        ),
        Caution(
            "carcass",
            _("Handling a carcass"),
            _(
                "Gloves on, cuts covered, hands and tools washed. It can carry rabies, tularemia, "
                "leptospirosis, roundworm, tapeworm and trichinella. After a bite or a splash in "
                "eye or wound: wash it with soap and water at once and see a doctor the same day."
            ),
        ),
        Caution(
            "meat",
            _("Meat"),
            _(
                "Only of an animal that was fit. Cook it through to 74 °C (165 °F) at its "
                "thickest; freezing never makes it safe."
            ),
        ),
        Caution(
            "pets",
            _("Pets and protected species"),
            _(
                "A dog, a cat or a protected animal may be held here. Release it or call, as its "
                "card says, and report it within the time the rules give."
            ),
        ),
        Caution(
            "record",
            _("The record"),
            _(
                "What you send is kept as part of the record. It cannot be edited away, only "
                "corrected by a later entry, and it may be asked for by the authority or a court."
            ),
        ),
    )
}

LOCAL = _("Local codes and licensed practice decide.")

# In the order in which they are read.
OF_ACTS: dict[str, tuple[str, ...]] = {
    "place_set": ("cold_alone", "ice", "body_gripping", "springs", "pets", "record"),
    "log_check": (
        "ice", "body_gripping", "springs", "distance", "dispatch", "firearms", "carcass", "meat",
        "pets", "record",
    ),
    "correct_check": ("record",),
    "animal_waiting": ("distance", "dispatch", "pets", "record"),
    "close_waiting": ("distance", "dispatch", "firearms", "carcass", "pets", "record"),
    "pull_set": ("ice", "body_gripping", "springs", "record"),
    "close_as_lost": ("record",),
    "hand_over": ("record",),
    "build_device": ("body_gripping", "springs", "record"),
    "take_reading": ("ice", "record"),
    "give_evidence": ("record",),
    "move_pelts": ("carcass", "record"),
    "judge_meat": ("carcass", "meat", "record"),
    "share_meat": ("carcass", "meat", "record"),
    "take_sample": ("carcass", "record"),
    "hand_in_samples": ("carcass", "record"),
    "take_back": ("record",),
}  # fmt: skip

# Where it goes with some devices or placements only, and which.
WITH_CLASSES = {
    "body_gripping": {"body_gripping"},
    "springs": {"body_gripping", "foothold_coil", "foothold_long"},
}
WITH_PLACEMENTS = {"ice": {"under_ice", "submersion", "water_edge"}}


def cautions_of(
    act: str, *, device_class: str = "", placement: str = "", of: Collection[str] = ()
) -> list[Caution]:
    """The cautions under which an act is done, of these codes (of all, if none).

    device_class, placement: of the set, where they are known; then what does not go with it falls
    away.
    """
    return [
        CAUTIONS[code]
        for code in OF_ACTS.get(act, ())
        if (not of or code in of)
        and (not device_class or device_class in WITH_CLASSES.get(code, {device_class}))
        and (not placement or placement in WITH_PLACEMENTS.get(code, {placement}))
    ]
