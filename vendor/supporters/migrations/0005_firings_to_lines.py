"""Brings promises that named a firing as a whole to the line of it that carries their piece."""

from django.db import migrations
from django.db.models import Q


def to_lines(apps, schema_editor):
    """Name the line of a promise's ware (or form, in bisque); where there is none, keep the firing."""
    Commitment = apps.get_model("supporters", "Commitment")
    FiringLine = apps.get_model("firings", "FiringLine")
    for promise in Commitment.objects.filter(firing__isnull=False).select_related("ware"):
        lines = FiringLine.objects.filter(firing=promise.firing_id)
        form = promise.ware.form_id if promise.ware_id is not None else promise.form_id
        line = lines.filter(
            Q(ware__isnull=False, ware=promise.ware_id) | Q(form__isnull=False, form=form)
        ).first()
        if line is not None:
            Commitment.objects.filter(pk=promise.pk).update(firing_line=line, firing=None)


def to_firings(apps, schema_editor):
    """Name the firing as a whole again."""
    Commitment = apps.get_model("supporters", "Commitment")
    for promise in Commitment.objects.filter(firing_line__isnull=False).select_related(
        "firing_line"
    ):
        Commitment.objects.filter(pk=promise.pk).update(
            firing=promise.firing_line.firing_id, firing_line=None
        )


class Migration(migrations.Migration):
    dependencies = [
        ("supporters", "0004_making_places"),
    ]

    operations = [migrations.RunPython(to_lines, to_firings)]
