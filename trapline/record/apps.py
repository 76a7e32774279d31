from django.apps import AppConfig


class RecordConfig(AppConfig):
    name = "trapline.record"
    label = "record"
