"""The forms an answer takes."""

from rest_framework.renderers import JSONRenderer


class GeoJson(JSONRenderer):
    """RFC 7946. Whoever asks for application/json gets the same bytes."""

    media_type = "application/geo+json"
    format = "geojson"
