"""Static files with content hashes in their names, module imports included."""

from django.contrib.staticfiles.apps import StaticFilesConfig
from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedStatics(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """whitenoise's storage; an ES module's imports are rewritten to the hashed names too."""

    support_js_module_import_aggregation = True


class Statics(StaticFilesConfig):
    """Django's collector, passing over htmx extensions that we do not use.

    They import modules by bare names, which no hashed file can answer.
    """

    ignore_patterns = [*StaticFilesConfig.ignore_patterns, "hx-*.js", "htmx-*-compat*.js"]
