"""Every act there is. A new act is a module beside this one and a line here."""

from trapline.ground.errors import Problem, Refused
from trapline.record import (
    agent_papers,
    animal_waiting,
    attach_photo,
    build_device,
    by_officer,
    correct_check,
    draw_line,
    end_set,
    file_report,
    finding_acts,
    give_evidence,
    hand_over,
    import_features,
    keeping,
    log_check,
    meat,
    mending,
    open_stop_page,
    papers,
    pelts,
    picking,
    place_set,
    samples,
    settle_act,
    settling_in,
    spend_number,
    stocking,
    take_rulebook,
    take_signal,
)
from trapline.record.acting import Kind


def kind_of(name: str, version: int) -> Kind:
    """The kind with this name, or Refused."""
    kind = KINDS.get(name)
    if kind is None:
        raise Refused(Problem("kind", "unknown_kind", {"kind": name}))
    if version not in kind.bodies:
        raise Refused(Problem("version", "unknown_version", {"kind": name, "version": version}))
    return kind


KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        draw_line.KIND,
        place_set.KIND,
        log_check.KIND,
        correct_check.KIND,
        attach_photo.KIND,
        animal_waiting.RAISE,
        animal_waiting.CLOSE,
        open_stop_page.KIND,
        end_set.PULL,
        end_set.LOSE,
        give_evidence.KIND,
        hand_over.KIND,
        import_features.KIND,
        build_device.KIND,
        agent_papers.KIND,
        papers.SIGN_OFF,
        papers.END_SIGN_OFF,
        papers.ISSUE_NUMBERS,
        papers.TAKE_READING,
        take_signal.KIND,
        take_rulebook.KIND,
        settle_act.kind_that_settles(kind_of),
        *by_officer.KINDS,
        spend_number.KIND,
        *stocking.KINDS,
        *mending.KINDS,
        *keeping.KINDS,
        *picking.KINDS,
        *finding_acts.KINDS,
        *settling_in.KINDS,
        *file_report.KINDS,
        pelts.KIND,
        *meat.KINDS,
        *samples.KINDS,
    )
}
