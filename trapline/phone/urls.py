"""The addresses of the phone. Each has a row in tests/permission_table.py."""

from django.urls import URLPattern, URLResolver, path

from trapline.phone import bundle, photos, shell

urlpatterns: list[URLPattern | URLResolver] = [
    path("sw.js", shell.worker, name="phone_worker"),
    path("phone/", shell.start, name="phone_start"),
    path("phone/app.webmanifest", shell.manifest, name="phone_manifest"),
    path("phone/who.json", bundle.who, name="phone_who"),
    path("t/<slug:team>/phone/", shell.phone, name="phone"),
    path("t/<slug:team>/phone/load/", shell.load, name="phone_load"),
    path("t/<slug:team>/phone/bundle.json", bundle.bundle, name="phone_bundle"),
    path("t/<slug:team>/phone/photos/<uuid:photo>/", photos.photo, name="photo"),
]
