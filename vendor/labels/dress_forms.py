"""What is typed about what tags carry: the maker's words or mark, and article numbers."""

from collections.abc import Iterable, Mapping, Sequence
from io import BytesIO
from typing import Any

from django import forms
from django.forms import BoundField
from PIL import Image, UnidentifiedImageError

from vendor.labels.article import NotAnArticleNumber, read_number, shown
from vendor.labels.choosing import Pick
from vendor.labels.models import TagDress

LARGEST_PICTURE = 2 * 1024 * 1024
MOST_PIXELS = 25_000_000
"""A picture that unpacks to more would fill the memory, however small its file is."""

KEPT_PIXELS = 1_200
"""The longer side of a mark as it is kept: enough for 5 cm at 600 dots to the inch."""


class DressForm(forms.ModelForm[TagDress]):
    """What tags carry besides the piece's own words."""

    picture = forms.FileField(
        label="Your mark, as a picture",
        required=False,
        help_text="PNG or JPEG, up to 2 MB, dark on white. It is printed where there is room.",
    )

    class Meta:
        model = TagDress
        fields = ("maker", "care", "symbol")

    def clean_picture(self) -> bytes | None:
        """Return the picture, checked and made small in grey; refuses what is none."""
        sent = self.cleaned_data["picture"]
        return grey_picture(sent.read(LARGEST_PICTURE + 1)) if sent else None

    def clean(self) -> dict[str, Any]:
        """Refuse a mark that was never given."""
        said = super().clean() or {}
        marked = said.get("maker") == TagDress.Maker.MARK
        given = said.get("picture") or self.instance.mark or "picture" in self.errors
        if marked and not given:
            self.add_error("picture", "Choose the picture of your mark, or print the name.")
        return said


def grey_picture(data: bytes) -> bytes:
    """Return a picture as a PNG in grey on white, no larger than needed; refuses what is none."""
    if len(data) > LARGEST_PICTURE:
        raise forms.ValidationError("The picture is larger than 2 MB: make it smaller.")
    try:
        with Image.open(BytesIO(data), formats=("PNG", "JPEG")) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise forms.ValidationError("The picture has too many pixels: make it smaller.")
            layered = picture.convert("RGBA")
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError):
        raise forms.ValidationError(
            "That is not a picture that can be read: take a PNG or a JPEG file."
        ) from None
    white = Image.new("RGBA", layered.size, "white")
    grey = Image.alpha_composite(white, layered).convert("L")
    grey.thumbnail((KEPT_PIXELS, KEPT_PIXELS))
    target = BytesIO()
    grey.save(target, "PNG")
    return target.getvalue()


class NumberField(forms.CharField):
    """An article number of twelve or thirteen digits, or nothing."""

    def to_python(self, value: Any) -> str:
        """Return thirteen digits, or an empty text."""
        text = str(super().to_python(value) or "")
        try:
            return read_number(text) if text else ""
        except NotAnArticleNumber as refusal:
            raise forms.ValidationError(refusal.message) from None


class NumbersForm(forms.Form):
    """The article numbers of ware, by grade."""

    def __init__(
        self, *args: Any, picks: Sequence[Pick], numbers: Mapping[tuple[int, str], str], **more: Any
    ) -> None:
        """Offer a number for each piece, with the one it has."""
        super().__init__(*args, **more)
        self.picks, self.numbers = picks, numbers
        for pick in picks:
            number = numbers.get(_spot(pick), "")
            attrs = {"inputmode": "numeric", "autocomplete": "off"}
            self.fields[pick.key] = NumberField(
                label=pick.name,
                required=False,
                max_length=20,
                initial=shown(number),
                widget=forms.TextInput(attrs),
            )

    def rows(self) -> Iterable[tuple[Pick, BoundField]]:
        """Return each pick with its field."""
        return ((pick, self[pick.key]) for pick in self.picks)

    def changed(self) -> dict[tuple[int, str], str]:
        """Return the numbers that are typed anew, or taken away."""
        said = {_spot(pick): self.cleaned_data[pick.key] for pick in self.picks}
        return {
            spot: number for spot, number in said.items() if number != self.numbers.get(spot, "")
        }


def _spot(pick: Pick) -> tuple[int, str]:
    assert pick.ware is not None
    return pick.ware.pk, pick.grade
