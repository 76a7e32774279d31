"""Static files with content hashes in their names, module imports included."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedStatics(CompressedManifestStaticFilesStorage):
    """whitenoise's storage; an ES module's imports are rewritten to the hashed names too."""

    support_js_module_import_aggregation = True
