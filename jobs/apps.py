from django.apps import AppConfig


class JobsConfig(AppConfig):
    """The car's path."""

    name = "jobs"
    verbose_name = "the car's path"
