from django.apps import AppConfig


class StandingConfig(AppConfig):
    name = "trapline.standing"
    label = "standing"
