from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "trapline.reports"
    label = "reports"
