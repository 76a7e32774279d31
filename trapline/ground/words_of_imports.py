"""Sentences for what can be wrong with a file of sets, and with one of its rows."""

from django.utils.translation import gettext_lazy as _

IMPORT_WORDS = {
    "file_too_many_rows": _("At most %(most)s rows are taken at once. Cut the file in two."),
    "file_other_kind": _("A GPX or a CSV file is needed; this is neither by its name."),
    "gpx_entities": _("The file declares a document type or entities, which are not read here."),
    "gpx_broken": _("The file is broken here: %(said)s. Write it anew and send it again."),
    "gpx_other_kind": _("This is no GPX file: its first element is not gpx 1.1 or 1.0."),
    "file_too_many_features": _("At most %(most)s features are taken at once. Cut the file."),
    "file_no_land": _("A GeoJSON or a GPX file is needed; this is neither by its name."),
    "json_broken": _("Column %(column)s: this is no JSON (%(said)s). Write the file anew."),
    "json_no_number": _("%(text)s is no number in JSON. Write the file anew."),
    "geojson_other_kind": _("This is no GeoJSON: its type is none of RFC 7946."),
    "geojson_no_features": _("There are no features in this file."),
    "geojson_other_crs": _(
        "The file is drawn on another grid (%(text)s). Write it in WGS 84, longitude first."
    ),
    "geojson_no_feature": _("What stands here is no Feature of GeoJSON."),
    "geojson_no_geometry": _("It has no geometry, so there is nothing to draw."),
    "gpx_no_ways": _("There are no tracks, routes or waypoints in this file."),
    "feature_kind_unknown": _(
        "“%(text)s” is no kind of feature, and the form names none. Choose what they are."
    ),
    "feature_other_shape": _("A %(text)s is not taken: draw points, paths or areas."),
    "feature_there_already": _("The team has this already, with the same shape and kind."),
    "gpx_no_waypoints": _("There are no waypoints in this file; tracks and routes are not sets."),
    "csv_broken": _("The table is broken here: %(said)s. A quotation mark may be missing."),
    "csv_no_rows": _("There are no rows under the heading."),
    "csv_unknown_column": _("No column is called %(name)s. There are: %(columns)s."),
    "csv_column_twice": _("The column %(name)s stands here twice."),
    "csv_no_column": _("The first line must name the columns; it lacks %(columns)s."),
    "csv_cells": _("This row has %(cells)s cells, the heading %(columns)s."),
    "row_no_label": _("The set has no label. Give it one."),
    "row_label_long": _("The label is longer than %(most)s characters."),
    "row_degrees": _("“%(text)s” is not between −%(most)s and %(most)s degrees."),
    "row_number": _("“%(text)s” is no number of metres."),
    "row_time": _("“%(text)s” is no date and time (write 2026-01-05T09:12:00-07:00)."),
    "row_unknown_name": _("The team has nothing called “%(text)s” here. Check its spelling."),
    "row_name_not_plain": _("More than one is called “%(text)s” here. Choose it in the form."),
    "row_not_said": _("Neither this row nor the form says this."),
    "file_no_csv": _("A CSV file is needed; this is none by its name."),
    "row_what": _("“%(text)s” is no kind of row. There are: %(words)s."),
    "row_other_column": _("A row for a %(what)s does not have this. Leave the cell empty."),
    "row_no_number": _("“%(text)s” is no number. Write digits, and no unit."),
    "row_unknown_id": _("Nothing of the team has this id. Leave it empty for something new."),
    "row_name_twice": _("More than one is called “%(text)s”. Give its id, as the export has it."),
    "row_met_before": _("Another row of this file is about the same thing. Leave one out."),
    "row_not_said_here": _("This row needs it."),
    "row_stays": _("It stays “%(said)s”, as it was made. Leave the cell empty."),
    "row_count_of_one": _("The row names one part. Leave the number empty."),
    "row_count": _(
        "A whole number from 1 to %(most)s is needed, and only for parts without mark and tag."
    ),
    "row_state_and_device": _("What is in a device is not loose as well. Say one of the two."),
    "row_new_part_state": _(
        "A new part lies in stock, is to be inspected, or is built into a device. Say one of these."
    ),
    "row_built_of": _(
        "“%(text)s” is no part. Write a role, how many, and what a catch does: cable 1 spent."
    ),
    "file_too_many_changes": _(
        "At most %(most)s things are made or changed at once. Cut the file in two."
    ),
    "row_no_free_device": _("No free device of this kind is left. Build one, or name one."),
}
