"""Static files with content hashes in their names, module imports included."""

from django.contrib.staticfiles.apps import StaticFilesConfig
from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedStatics(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """whitenoise's storage; an ES module's imports are rewritten to the hashed names too."""

    support_js_module_import_aggregation = True


class Statics(StaticFilesConfig):
    """Django's collector, passing over what no page of ours loads.

    Those htmx extensions import modules by bare names, which no hashed file can answer. The others
    (pages of the API's and the map's packages that we do not show, sources that are also there
    packed) took most of the time of a first start, which packs and hashes every file.
    """

    ignore_patterns = [
        *StaticFilesConfig.ignore_patterns,
        *("hx-*.js", "htmx-*-compat*.js", "htmax-*.js"),
        *("rest_framework", "gis", "draw", "leaflet-src.*", "Control.MiniMap.*", "proj4*"),
    ]
