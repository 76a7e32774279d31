from django.apps import AppConfig


class RulebookConfig(AppConfig):
    name = "trapline.rulebook"
    label = "rulebook"
