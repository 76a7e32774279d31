from django.apps import AppConfig


class GearConfig(AppConfig):
    name = "trapline.gear"
    label = "gear"
