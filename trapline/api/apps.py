from django.apps import AppConfig


class ApiConfig(AppConfig):
    name = "trapline.api"
    label = "api"
