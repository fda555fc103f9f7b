"""What a field of a firing may hold."""

from django.core.exceptions import ValidationError

from vendor.firings.cones import Cone, NotACone


def known_cone(value: str) -> None:
    """Refuse a cone that is not written as the cone's own name, such as “06”, “5½” or “6”."""
    try:
        cone = Cone.of(value)
    except NotACone:
        cone = None
    if cone is None or str(cone) != value:
        raise ValidationError(
            f"“{value}” is not a cone. Cones run from 022 to 01 and from 1 to 14, with halves "
            "such as 5½; the leading zero counts: 06 is far cooler than 6."
        )
