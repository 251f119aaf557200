from django.apps import AppConfig


class MixingConfig(AppConfig):
    """The bottle's path."""

    name = "mixing"
    verbose_name = "the bottle's path"
