from django.apps import AppConfig


class WatchConfig(AppConfig):
    name = "trapline.watch"
    label = "watch"
