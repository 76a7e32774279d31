from django.apps import AppConfig


class PagesConfig(AppConfig):
    name = "trapline.pages"
    label = "pages"
