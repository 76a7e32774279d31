"""The addresses: the API, the pages, what the phone keeps."""

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("api/v1/", include("trapline.api.urls")),
    path("", include("trapline.phone.urls")),
    path("", include("trapline.pages.urls")),
]
