"""Registers the part with Django."""

from django.apps import AppConfig


class HouseConfig(AppConfig):
    """The part called house."""

    name = "vendor.house"
    label = "house"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Let the framework's own checks speak in the words of the house."""
        from vendor.house.wording import speak_plainly

        speak_plainly()
