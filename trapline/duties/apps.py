from django.apps import AppConfig


class DutiesConfig(AppConfig):
    name = "trapline.duties"
    label = "duties"
