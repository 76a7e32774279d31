from django.apps import AppConfig


class GroundConfig(AppConfig):
    name = "trapline.ground"
    label = "ground"
