from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "trapline.people"
    label = "people"
