"""Sentences for what can be wrong with a file: reading it, and a rulebook's own sense."""

from django.utils.translation import gettext_lazy as _

# Codes with these words in front of them: file_, rulebook_, form_, outline_.
FILE_WORDS = {
    "file_too_large": _("The file has %(size)s bytes; at most %(most)s are taken."),
    "file_not_text": _("This is not UTF-8 text. Save the file as UTF-8."),
    "file_syntax": _("This is neither YAML nor JSON: %(said)s."),
    "file_empty": _("The file is empty."),
    "file_more_than_one": _("A second document begins here. One file holds one rulebook."),
    "file_too_deep": _("This is nested deeper than %(most)s steps."),
    "file_anchor": _("Anchors and aliases are not read here. Write the value out."),
    "file_tag": _("The tag %(tag)s is not read here. Leave it out."),
    "file_key_twice": _("This key stands here a second time."),
    "file_key_not_text": _("A key must be text."),
    "file_number": _("This number cannot be read."),
    "rulebook_code_twice": _("The code %(code)s was already given, at %(first)s."),
    "rulebook_unknown_authority": _("No authority in this file has the code %(code)s."),
    "rulebook_unknown_zones": _("No zone in this file has the code %(code)s."),
    "rulebook_unknown_species": _("No species in this file has the code %(code)s."),
    "rulebook_instead_unknown": _("It stands instead of %(code)s, which is not in this file."),
    "rulebook_instead_other_authority": _(
        "%(code)s was made by another authority (%(authority)s). A rule stands only instead of one "
        "of its own authority."
    ),
    "rulebook_instead_other_matter": _(
        "%(code)s is about something else (%(matter)s). A rule stands only instead of one about "
        "the same matter."
    ),
    "rulebook_instead_circle": _("Through %(code)s this rule stands instead of itself."),
    "rulebook_holds_backwards": _("The rule ends before it begins to hold."),
    "rulebook_no_bound": _("At least one of %(low)s and %(high)s is needed."),
    "rulebook_half_a_span": _("A span of days needs both its first and its last day."),
    "rulebook_no_such_date": _("There is no such date."),
    "rulebook_season_backwards": _("The season closes before it opens."),
    "rulebook_season_empty": _("The season closes at the moment at which it opens."),
    "zones_no_collection": _("This is no GeoJSON FeatureCollection with features in it."),
    "zones_no_polygon": _("A zone is a Polygon or a MultiPolygon; this feature is none."),
    "zones_no_code": _("A zone’s feature needs a property “code”."),
    "zones_no_rulebook": _("No rulebook is in force. Take one in first; zones belong to it."),
    "form_missing": _("This form of rule needs this value."),
    "form_unknown": _("This form of rule has no such value."),
    "form_number": _("A number is needed."),
    "form_whole_number": _("A whole number is needed."),
    "form_range": _("This number is out of the range that makes sense here."),
    "form_clock": _("A clock time from 00:00 to 23:59 is needed."),
    "form_event": _("A sun event is needed: dawn, sunrise, sunset or dusk."),
    "form_same": _("From and to are the same, so no time lies between them."),
    "form_table": _("A table of values is needed here."),
    "form_order": _("These do not follow each other; the second must not be the lower."),
    "form_gap": _("These ranges leave a gap between them."),
    "form_overlap": _("These ranges overlap."),
    "outline_off_the_globe": _("%(lon)s, %(lat)s is no place: longitude first, then latitude."),
    "outline_open": _("The ring does not end where it begins."),
    "outline_too_wide": _("A zone over the antimeridian is cut in two there (RFC 7946, 3.1.9)."),
    "outline_invalid": _("The outline crosses itself or is not closed: %(said)s."),
}
