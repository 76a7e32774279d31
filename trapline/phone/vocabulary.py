"""The lists of codes that the phone shows, in the person's language."""

from trapline.wording.vocabulary import VOCABULARIES

LISTS = (
    "age", "device_class", "done", "duty", "fate", "found", "gone", "handling", "how_seen",
    "placement", "sex", "sign", "supervision",
)  # fmt: skip


def labels() -> dict[str, dict[str, str]]:
    """List -> code -> words, each list in its own order."""
    return {
        name: {str(code): str(label) for code, label in VOCABULARIES[name].choices}
        for name in LISTS
    }
