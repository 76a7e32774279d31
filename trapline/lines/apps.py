from django.apps import AppConfig


class LinesConfig(AppConfig):
    name = "trapline.lines"
    label = "lines"
