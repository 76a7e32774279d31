from django.apps import AppConfig


class KeptConfig(AppConfig):
    name = "trapline.kept"
    label = "kept"
