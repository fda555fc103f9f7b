"""Registers the part with Django, and asks the database to keep its history append-only."""

from django.apps import AppConfig

from vendor.ledger import triggers


class SupportersConfig(AppConfig):
    """The part called supporters."""

    name = "vendor.supporters"
    label = "supporters"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Name the tables whose rows are never changed, and follow what becomes of firings."""
        triggers.protect(
            "supporters_step",
            "supporters_contributionchange",
            "supporters_levelterms",
            "supporters_rewardterms",
        )
        # Both read models, which are there only now.
        from vendor.firings import followers
        from vendor.supporters import following

        followers.follow(following)
