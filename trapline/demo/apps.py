from django.apps import AppConfig


class DemoConfig(AppConfig):
    name = "trapline.demo"
    label = "demo"
