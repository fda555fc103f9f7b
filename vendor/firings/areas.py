"""Shelf areas as people measure them: whole cm² or whole square inches. Pure."""

from vendor.house.money import half_up

_CM2_PER_SQ_IN = 64_516  # of a ten-thousandth: 1 sq in is 6.4516 cm² exactly
_TEN_THOUSAND = 10_000


def stored(area: int | None, *, inches: bool) -> int | None:
    """Return a typed area in whole cm², rounded half up."""
    if area is None or not inches:
        return area
    return half_up(area * _CM2_PER_SQ_IN, _TEN_THOUSAND)


def shown(area_cm2: int | None, *, inches: bool) -> int | None:
    """Return an area in the studio's own unit, rounded half up; `stored` reads it back."""
    if area_cm2 is None or not inches:
        return area_cm2
    return half_up(area_cm2 * _TEN_THOUSAND, _CM2_PER_SQ_IN)


def in_words(area_cm2: int | None, *, inches: bool) -> str:
    """Say an area in the studio's own unit: “4,000 cm²”; empty where it is not known."""
    area = shown(area_cm2, inches=inches)
    return "" if area is None else f"{area:,} {'sq in' if inches else 'cm²'}"


def value_of_unit(value: int, area_cm2: int, *, inches: bool) -> tuple[int, str]:
    """Return the value of one square foot, or of 1,000 cm², of a shelf, and what that unit is."""
    if inches:
        return half_up(value * 144 * _CM2_PER_SQ_IN, area_cm2 * _TEN_THOUSAND), "square foot"
    return half_up(value * 1000, area_cm2), "1,000 cm²"
