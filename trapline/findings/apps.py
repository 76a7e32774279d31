from django.apps import AppConfig


class FindingsConfig(AppConfig):
    name = "trapline.findings"
    label = "findings"
