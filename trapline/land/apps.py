from django.apps import AppConfig


class LandConfig(AppConfig):
    name = "trapline.land"
    label = "land"
