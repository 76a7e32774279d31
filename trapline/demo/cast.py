"""The invented team: twelve people, their licences, what each is signed off for.

Every name is made up. None is meant to be anybody.
"""

from dataclasses import dataclass

TEAM, SLUG = "Quillback Valley trapping class", "quillback"
PASSPHRASE = "kettle moss lantern 61"  # noqa: S105 - of the demo only, the same for all
# What one can be signed off for; the codes are those a new team begins with.
LEARNERS = ("foothold_coil", "cable_restraint", "snare", "body_gripping", "on_ice")
ALL_SKILLS = (*LEARNERS, "dispatch")
# Who is told of a check, so many seconds after it falls due. The other kinds keep the defaults.
STAGES = (
    (-3600, "responsible"), (0, "responsible"), (3600, "instructor"), (24 * 3600, "managers"),
)  # fmt: skip
CALLS = (("Hedda, duty instructor", "555-0142"), ("Quillback Wildlife Office", "555-0117"))


@dataclass(frozen=True)
class Person:
    """Somebody of the team, with the habits that make them believable."""

    key: str  # also the sign-in name
    name: str
    role: str
    line: int | None = None  # which line they walk, 0..2
    instructor: str | None = None
    skills: tuple[str, ...] = ()
    starts: int = 0  # minutes after midnight at which they usually reach their first set
    goes: float = 1.0  # chance that they go out on a day
    passes: float = 0.0  # chance that they leave one set out

    @property
    def leads(self) -> bool:
        return self.role != "member"


def _student(key: str, name: str, line: int, teacher: str, **habits: object) -> Person:
    return Person(key, name, "member", line, teacher, LEARNERS, **habits)  # type: ignore[arg-type]


PEOPLE = (
    Person("aud", "Aud Quernstone", "manager", skills=ALL_SKILLS),
    Person("tobin", "Tobin Larkwhistle", "manager"),
    Person("hedda", "Hedda Fallowmoor", "instructor", 0, None, ALL_SKILLS, 560, 0.99, 0.002),
    Person("ivo", "Ivo Brindlecap", "instructor", 1, None, ALL_SKILLS, 545, 0.99, 0.002),
    Person("marit", "Marit Sleetwood", "instructor", 2, None, ALL_SKILLS, 570, 0.99, 0.002),
    _student("anselm", "Anselm Dovetarn", 0, "hedda", starts=575, goes=0.97, passes=0.01),
    _student("brita", "Brita Hushwater", 0, "hedda", starts=560, goes=0.98, passes=0.005),
    _student("corin", "Corin Emberlow", 0, "hedda", starts=600, goes=0.92, passes=0.03),
    _student("dagny", "Dagny Thornquill", 1, "ivo", starts=550, goes=0.98, passes=0.005),
    _student("elof", "Elof Wintersedge", 1, "ivo", starts=590, goes=0.93, passes=0.02),
    _student("freya", "Freya Mosslantern", 2, "marit", starts=565, goes=0.97, passes=0.01),
    _student("gunnar", "Gunnar Oakfathom", 2, "marit", starts=585, goes=0.95, passes=0.02),
)
BY_KEY = {person.key: person for person in PEOPLE}

# Who looks after how many sets of each line, in order along it.
SHARES = (
    (("anselm", 6), ("hedda", 3), ("brita", 6), ("corin", 5)),
    (("dagny", 8), ("ivo", 4), ("elof", 8)),
    (("freya", 8), ("marit", 4), ("gunnar", 8)),
)
# The small demo has eight sets of one line: so many of each species, and whose they are.
SMALL_LINE = 1
SMALL_SETS = {
    "marten": ("dagny", "ivo"), "weasel": ("dagny",), "lynx": ("dagny", "ivo"),
    "coyote": ("elof", "elof"), "red fox": ("elof",),
}  # fmt: skip


@dataclass(frozen=True)
class LineOf:
    """A line of the terrain as the team runs it."""

    letter: str
    travel: str
    km_h: float  # between sets, with what one carries
    holder: str  # whose licence its sets bear


LINES = (
    LineOf("C", "ski", 3.4, "hedda"),
    LineOf("R", "snowshoe", 2.4, "ivo"),
    LineOf("M", "snow_machine", 9.0, "marit"),
)


@dataclass(frozen=True)
class LicenceOf:
    """A licence and the books issued to it: prefix, first, last."""

    holder: str
    number: str
    site_tags: tuple[str, int, int]
    seals: tuple[str, int, int]


LICENCES = (
    LicenceOf("hedda", "QWO-2204", ("C-", 101, 220), ("SC-", 1, 30)),
    LicenceOf("ivo", "QWO-2217", ("R-", 301, 420), ("SR-", 1, 30)),
    LicenceOf("marit", "QWO-2231", ("M-", 501, 620), ("SM-", 1, 30)),
    LicenceOf("aud", "QWO-2190", ("A-", 701, 750), ("SA-", 1, 10)),  # not used this season
)
AUTHORITY = "Quillback Wildlife Office (invented)"
