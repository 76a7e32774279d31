"""Every finding can be said, and nothing is said that is never found."""

from trapline.findings import kinds
from trapline.findings.animals import CODES as OF_ANIMALS
from trapline.findings.limits import CODE as LIMIT
from trapline.findings.looking import CODES
from trapline.ground.words_of_findings import FINDING_WORDS


def test_every_finding_has_its_words_and_no_words_lack_their_finding() -> None:
    assert kinds is not None
    assert set(FINDING_WORDS) == {*CODES, LIMIT, *(code for code, _ in OF_ANIMALS.values())}
