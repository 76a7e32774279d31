"""The addresses: the API, the pages, what the phone keeps."""

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
