"""Who supports the studio or orders from it. Personal data stays small: name, contact, address."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from vendor.house.models import Document, User
from vendor.supporters.models.rules import Reward


class SupporterQuerySet(models.QuerySet["Supporter"]):
    """Ways to ask for supporters."""

    def known(self) -> "SupporterQuerySet":
        """Supporters whose personal data has not been erased."""
        return self.filter(erased_at__isnull=True)


class Supporter(Document):
    """A person to whom pieces are promised: one who contributes monthly, or orders a commission."""

    is_a_person: ClassVar = True

    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True, help_text="Also tells an imported payment whose it is.")
    phone = models.CharField(
        "phone", max_length=80, blank=True, help_text="Or any other way to reach them."
    )
    address = models.TextField(
        blank=True, max_length=500, help_text="Where rewards are sent, as on a parcel."
    )
    note = models.TextField(blank=True, max_length=1000)
    aim = models.ForeignKey(
        Reward,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name="saving for",
        help_text="Empty: what their level usually leads to.",
    )
    erased_at = models.DateTimeField(null=True, blank=True, editable=False)
    erased_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )

    objects = SupporterQuerySet.as_manager()

    class Meta:
        ordering = ["name", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["email"],
                condition=~Q(email=""),
                name="supporter_email_once",
                violation_error_message="Another supporter has this e-mail address already.",
            ),
            # What was erased stays erased: the database keeps no contact beside the mark.
            models.CheckConstraint(
                condition=Q(erased_at__isnull=True) | Q(email="", phone="", address="", note=""),
                name="supporter_erased_keeps_no_contact",
            ),
        ]

    @property
    def first_name(self) -> str:
        """The first name: the most that a helper sees."""
        words = self.name.split()
        return words[0] if words else self.name

    @property
    def is_erased(self) -> bool:
        """Whether the personal data has been erased."""
        return self.erased_at is not None

    def __str__(self) -> str:
        return self.name
