"""The lists of codes that pages show, by name."""

from django.db.models import TextChoices

from trapline.duties import models as duties
from trapline.findings import models as findings
from trapline.gear import models as gear
from trapline.journal.models import ActState
from trapline.kept import words as kept
from trapline.land.models import FeatureKind
from trapline.lines import words as lines
from trapline.people.models import AgentDeed, Role
from trapline.plans import mending
from trapline.reports.models import RunState
from trapline.rulebook import models as rulebook

VOCABULARIES: dict[str, type[TextChoices]] = {
    "act_state": ActState,
    "action": gear.Action,
    "age": lines.Age,
    "agent_deed": AgentDeed,
    "authority_kind": rulebook.AuthorityKind,
    "cause": lines.Cause,
    "channel": duties.Channel,
    "device_class": gear.DeviceClass,
    "done": lines.Done,
    "duty": duties.Kind,
    "duty_state": duties.State,
    "ended": lines.Ended,
    "deed": mending.Deed,
    "fate": lines.Fate,
    "feature": FeatureKind,
    "fit_source": findings.FitSource,
    "fit_what": findings.FitWhat,
    "found": lines.Found,
    "gone": lines.Gone,
    "handling": rulebook.Handling,
    "heard": lines.Heard,
    "how": mending.How,
    "how_seen": lines.HowSeen,
    "kept": gear.Kept,
    "line_status": lines.LineStatus,
    "matter": rulebook.Matter,
    "notice_state": duties.NoticeState,
    "number_kind": lines.NumberKind,
    "number_use": lines.NumberUse,
    "kept_place": kept.Place,
    "meat_use": kept.MeatUse,
    "organs": kept.Organs,
    "part_role": gear.PartRole,
    "part_state": gear.PartState,
    "pelt": kept.PeltState,
    "placement": lines.Placement,
    "role": Role,
    "run_state": RunState,
    "sample": kept.SampleOf,
    "severity": findings.Severity,
    "sex": lines.Sex,
    "sign": lines.Sign,
    "supervision": lines.Supervision,
    "travel": lines.Travel,
    "undo": kept.Undo,
}


# The labels are lazy, so each is still said in the language in force.
_LABELS = {name: dict(words.choices) for name, words in VOCABULARIES.items()}


def label_of(vocabulary: str, code: str) -> str:
    """The words of a code; an unknown code as it is."""
    return str(_LABELS[vocabulary].get(code, code))
