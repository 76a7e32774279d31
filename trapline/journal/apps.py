from django.apps import AppConfig


class JournalConfig(AppConfig):
    name = "trapline.journal"
    label = "journal"
