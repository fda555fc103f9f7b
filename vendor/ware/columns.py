"""The column that names a ware: its shape, its name, and the line under it."""

from typing import Any

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from vendor.house.tables import A, NameColumn
from vendor.ware import drawing


class WareColumn(NameColumn):
    """A ware's name with its pot before it, so that a piece is found by its shape.

        ware = WareColumn("Ware", accessor="ware__name", piece="ware", order_by=("ware__name",))

    `piece` names what has a `form` and a `finish` (empty: the row itself). A list's pots fill
    their boxes; true relative size is for planks, where all share a frame.
    """

    def __init__(self, *args: Any, piece: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._piece = A(piece) if piece else None

    def render(self, value: Any, record: Any, bound_column: Any) -> SafeString:
        """Show the pot, the name, linked, and its line."""
        ware = self._piece.resolve(record) if self._piece else record
        pot = drawing.svg(
            profile=ware.form.profile or ware.form.name,
            height_mm=ware.form.height_mm,
            width_mm=ware.form.width_mm,
            colour=ware.finish.colour,
            css_class="pot-in-row",
        )
        name = super().render(value, record, bound_column)
        return format_html(
            '<span class="with-pot">{}<span>{}</span></span>',
            mark_safe(pot),  # noqa: S308 - drawing.svg escapes every word that it is given
            name,
        )
