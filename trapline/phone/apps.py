from django.apps import AppConfig


class PhoneConfig(AppConfig):
    name = "trapline.phone"
    label = "phone"
