"""When a check is due: the forms of check intervals, and the strictest of several rules.

`from_params` reads a form; `due_many` and `due_at` give due instants; `visits_count`
and `tending_forbidden_many` judge visits; `strictest_of`, `strictest_many` and
`strictest` say which rule binds. The one-at-a-time functions are the vectorised ones
with one row.
"""

from trapline.calc.clock import NEVER_US, to_datetime, to_us
from trapline.calc.deadlines.due import (
    Due,
    DueMany,
    Readings,
    Signals,
    before_forbidden_many,
    counts_until,
    due_at,
    due_details,
    due_many,
    in_time,
    tending_forbidden,
    tending_forbidden_many,
    visit_counts,
    visits_count,
)
from trapline.calc.deadlines.forms import (
    FORMS,
    CheckForm,
    FormError,
    FormName,
    TemperatureRow,
    TemperatureTable,
    TimeOfDay,
    from_params,
)
from trapline.calc.deadlines.strictest import (
    NO_RULE,
    Binding,
    Candidate,
    Grants,
    Standing,
    Strictest,
    StrictestByAuthority,
    Verdict,
    check_instead_of,
    not_replaced,
    strictest,
    strictest_many,
    strictest_of,
)

__all__ = [
    "FORMS",
    "NEVER_US",
    "NO_RULE",
    "Binding",
    "Candidate",
    "CheckForm",
    "Due",
    "DueMany",
    "FormError",
    "FormName",
    "Grants",
    "Readings",
    "Signals",
    "Standing",
    "Strictest",
    "StrictestByAuthority",
    "TemperatureRow",
    "TemperatureTable",
    "TimeOfDay",
    "Verdict",
    "before_forbidden_many",
    "check_instead_of",
    "counts_until",
    "due_at",
    "due_details",
    "due_many",
    "from_params",
    "in_time",
    "not_replaced",
    "strictest",
    "strictest_many",
    "strictest_of",
    "tending_forbidden",
    "tending_forbidden_many",
    "to_datetime",
    "to_us",
    "visit_counts",
    "visits_count",
]
