"""Photos of ware: checked to be pictures, made small, and shown only to those logged in.

What is kept is drawn anew from the picture's points: whatever else a file carried (the place where
it was taken, code in disguise) is gone. Only files that were made so are ever served.
"""

import datetime
import re
import uuid
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from io import BytesIO
from typing import IO

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.http import FileResponse, Http404, HttpRequest
from PIL import Image, ImageOps

from vendor.house import changes
from vendor.house.access import helper_page
from vendor.house.models import User
from vendor.ware.errors import NotAPicture
from vendor.ware.models import Ware

LARGEST_FILE = 12 * 1024 * 1024
LARGEST_PICTURE = 60_000_000  # points
LONGEST_SIDE = 1200
FORMATS = ("JPEG", "PNG", "WEBP")
# The photos written since the innermost `files_as_rows` began.
_written: ContextVar[list[str]] = ContextVar("photos_written")
_KEPT = re.compile(r"ware/[0-9a-f]{32}\.jpg", re.ASCII)


def redrawn(file: IO[bytes], size: int) -> bytes:
    """Return a picture as a small JPEG, upright; NotAPicture for anything else, or too large."""
    if size > LARGEST_FILE:
        raise NotAPicture(
            f"The photo has more than {LARGEST_FILE // 1024 // 1024} MB. Nothing was saved: "
            "take a smaller one."
        )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(file, formats=FORMATS) as picture:
                if picture.width * picture.height > LARGEST_PICTURE:
                    raise NotAPicture(
                        "The photo has more than 60 million points. Nothing was saved: take a "
                        "smaller one."
                    )
                picture.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
                upright = ImageOps.exif_transpose(picture)
                upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
                return _jpeg(upright)
    except NotAPicture:
        raise
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError, Warning):
        # Pillow tells a broken picture in any of these ways.
        raise NotAPicture(
            "The file is no picture that can be read. Nothing was saved: choose a JPEG, PNG or "
            "WebP photo."
        ) from None


def _jpeg(picture: Image.Image) -> bytes:
    """Return a picture on white, as a JPEG without anything but its points."""
    layer = picture.convert("RGBA")
    ground = Image.new("RGB", layer.size, "white")
    ground.paste(layer, mask=layer.getchannel("A"))
    kept = BytesIO()
    ground.save(kept, "JPEG", quality=84, optimize=True)
    return kept.getvalue()


def put_photo(*, ware: Ware, content: bytes, who: User, now: datetime.datetime) -> Ware:
    """Give a ware a photo, as `redrawn` made it, in place of the one it had.

    The same photo again changes nothing.
    """
    before = ware.photo.name
    if before and _is_kept(before, content):
        return ware
    with files_as_rows(), transaction.atomic():
        ware.photo.save(f"{uuid.uuid4().hex}.jpg", ContentFile(content), save=False)
        _written.get().append(str(ware.photo.name))
        changes.keep(ware, who=who, now=now)
        _forget(before)
    return ware


@contextmanager
def files_as_rows() -> Iterator[None]:
    """Let photos go the way of their rows: what is written within it is gone if it ends in error.

    To be put around the transaction that a photo is put in.
    """
    around, names = _written.get(None), list[str]()
    token = _written.set(names)
    try:
        yield
    except BaseException:
        for name in names:
            default_storage.delete(name)
        raise
    finally:
        _written.reset(token)
    if around is not None:
        around.extend(names)


def take_photo_away(*, ware: Ware, who: User, now: datetime.datetime) -> Ware:
    """Take a ware's photo away; it is drawn as a pot again."""
    before = ware.photo.name
    with transaction.atomic():
        ware.photo = ""
        changes.keep(ware, who=who, now=now)
        _forget(before)
    return ware


def _is_kept(name: str, content: bytes) -> bool:
    """Tell whether a file is there with just this in it."""
    if not default_storage.exists(name):
        return False
    with default_storage.open(name, "rb") as file:
        return bool(file.read() == content)


def _forget(name: str | None) -> None:
    """Delete a file that no ware shows any more, once the change is certain."""
    if name:
        transaction.on_commit(lambda: default_storage.delete(name))


@helper_page
def photo(request: HttpRequest, name: str) -> FileResponse:
    """Answer with a photo; 404 for any file that `put_photo` has not made."""
    if not _KEPT.fullmatch(name) or not default_storage.exists(name):
        raise Http404
    answer = FileResponse(default_storage.open(name, "rb"), content_type="image/jpeg")
    # Its name changes with its content, and only this person's browser may keep it.
    answer["Cache-Control"] = "private, max-age=31536000, immutable"
    answer["Content-Disposition"] = "inline"
    return answer
