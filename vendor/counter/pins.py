"""PINs: by a short number a person says on a shared device who sells. Never a login.

The server hands out a signed pass for a right PIN; the sales that the person takes carry it.
"""

from django.db import models


class Pin(models.Model):
    """The short number by which a person says on a shared device who sells. Never a login."""

    user = models.OneToOneField("house.User", on_delete=models.CASCADE, related_name="counter_pin")
    secret = models.CharField(max_length=200, help_text="Hashed, like a password.")
    set_at = models.DateTimeField()
    misses = models.PositiveIntegerField(default=0, help_text="Wrong tries since the last right.")
    shut_until = models.DateTimeField(null=True, blank=True)

    class Meta:
        app_label = "counter"

    def __str__(self) -> str:
        return f"PIN of {self.user}"
