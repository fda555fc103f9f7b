"""Photos: only pictures get in, only small plain ones are kept, only people logged in see them."""

from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import reverse
from PIL import Image

from tests.factories import NOW, OwnerFactory, StudioFactory, UserFactory, WareFactory
from vendor.ware import photos
from vendor.ware.errors import NotAPicture
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture(autouse=True)
def _own_folder(settings: object, tmp_path: Path) -> None:
    """Keep photos in a folder of the test's own."""
    settings.MEDIA_ROOT = tmp_path  # type: ignore[attr-defined]


@pytest.fixture
def pages(client: Client) -> Client:
    """A browser in which the owner is logged in."""
    StudioFactory()
    client.force_login(OwnerFactory(), backend=BACKEND)
    return client


def picture(kind: str = "JPEG", size: tuple[int, int] = (40, 30), mode: str = "RGB") -> bytes:
    """Return a picture file, with the place where it was taken in it."""
    kept = BytesIO()
    exif = Image.Exif()
    exif[0x010E] = "taken at home"
    exif[0x0112] = 6  # turned by a quarter
    Image.new(mode, size, 0).save(kept, kind, exif=exif)
    return kept.getvalue()


def upload(pages: Client, ware: Ware, content: bytes, name: str = "pot.jpg") -> str:
    """Send a photo on a ware's page, and return the page that comes back (empty: saved)."""
    file = SimpleUploadedFile(name, content, content_type="image/jpeg")
    said = {"code": ware.code, "picture": file}
    return pages.post(reverse("ware:ware", args=[ware.pk]), said).content.decode()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_kept_small_upright_and_plain(pages: Client, kind: str) -> None:
    """It becomes a JPEG without the place where it was taken, turned as it was meant."""
    ware = WareFactory()
    assert upload(pages, ware, picture(kind, (2400, 1600))) == ""
    ware.refresh_from_db()
    with Image.open(ware.photo.path) as kept:
        assert kept.format == "JPEG"
        assert kept.size == (800, 1200)
        assert not kept.getexif()
    assert b"taken at home" not in Path(ware.photo.path).read_bytes()


def test_a_see_through_picture_stands_on_white(pages: Client) -> None:
    """As a piece on a page does."""
    content = photos.redrawn(BytesIO(picture("PNG", mode="RGBA")), 1)
    with Image.open(BytesIO(content)) as kept:
        assert kept.getpixel((5, 5)) == (255, 255, 255)


@pytest.mark.parametrize(
    "content",
    [
        b"no picture",
        b"",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>",
        b"GIF89a" + b"\0" * 40,
        picture()[:200],
        b"\xff\xd8\xff" + b"\0" * 100,
    ],
)
def test_what_is_no_picture_is_refused(pages: Client, content: bytes) -> None:
    """A name that ends in .jpg is no proof; nothing of the ware is saved."""
    ware = WareFactory(note="as before")
    page = upload(pages, ware, content)
    told = "no picture that can be read" if content else "That file is empty."
    assert told in page
    ware.refresh_from_db()
    assert not ware.photo
    assert ware.note == "as before"


def test_too_large_a_file_or_picture_is_refused() -> None:
    """By its size in bytes, and by its points before they are unpacked."""
    with pytest.raises(NotAPicture, match="MB"):
        photos.redrawn(BytesIO(picture()), photos.LARGEST_FILE + 1)
    bomb = BytesIO()
    Image.new("1", (20_000, 20_000)).save(bomb, "PNG")
    with pytest.raises(NotAPicture):
        photos.redrawn(BytesIO(bomb.getvalue()), len(bomb.getvalue()))


@pytest.mark.django_db(transaction=True)
def test_a_new_photo_takes_the_place_of_the_old_one(pages: Client, tmp_path: Path) -> None:
    """The old file goes; taken away, nothing is left."""
    ware = WareFactory()
    upload(pages, ware, picture())
    first = Ware.objects.get().photo.name
    upload(pages, ware, picture())
    assert Ware.objects.get().photo.name == first, "the same photo again changes nothing"
    upload(pages, ware, picture(size=(30, 40)))
    assert Ware.objects.get().photo.name != first
    assert len(list(tmp_path.rglob("*.jpg"))) == 1
    pages.post(reverse("ware:take_photo_away", args=[ware.pk]))
    assert not Ware.objects.get().photo
    assert list(tmp_path.rglob("*.jpg")) == []


def test_photos_are_shown_to_people_logged_in(client: Client) -> None:
    """Helpers too; a stranger is asked to log in."""
    StudioFactory()
    ware = photos.put_photo(
        ware=WareFactory(),
        content=photos.redrawn(BytesIO(picture()), 1),
        who=OwnerFactory(),
        now=NOW,
    )
    assert client.get(ware.photo.url).status_code == 302
    client.force_login(UserFactory(), backend=BACKEND)
    answer = client.get(ware.photo.url)
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "private" in answer["Cache-Control"]
    assert b"".join(answer.streaming_content)[:3] == b"\xff\xd8\xff"


@pytest.mark.parametrize(
    "name", ["../secret-key", "ware/../../secret-key", "ware/x.jpg", "ware/page.html", "ware/",
             "ware/" + "0" * 32 + ".jpg", "ware/" + "٠" * 32 + ".jpg"]
)  # fmt: skip
def test_no_other_file_is_ever_served(pages: Client, tmp_path: Path, name: str) -> None:
    """Only what was made here, under its own kind of name."""
    (tmp_path / "ware").mkdir(exist_ok=True)
    (tmp_path / "ware" / "page.html").write_text("<script></script>")
    (tmp_path / "ware" / "x.jpg").write_bytes(picture())
    assert pages.get(f"/media/{name}").status_code == 404


def test_a_photo_whose_change_fails_leaves_no_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The row is as it was, and so is the folder."""

    def fail(*_: object, **__: object) -> None:
        raise OSError("The disk is full")

    ware, content = WareFactory(), photos.redrawn(BytesIO(picture()), 1)
    monkeypatch.setattr("vendor.house.changes.keep", fail)
    with pytest.raises(OSError, match="full"):
        photos.put_photo(ware=ware, content=content, who=OwnerFactory(), now=NOW)
    assert list(tmp_path.rglob("*.jpg")) == []


def test_a_photo_goes_with_the_transaction_around_it(tmp_path: Path) -> None:
    """What was saved beside it fails afterwards: the earlier photo is the one that is left."""
    ware, owner = WareFactory(), OwnerFactory()
    first, second = (photos.redrawn(BytesIO(picture(size=size)), 1) for size in ((4, 3), (3, 4)))
    photos.put_photo(ware=ware, content=first, who=owner, now=NOW)
    before = Ware.objects.get().photo.name

    def put_and_fail() -> None:
        with photos.files_as_rows(), transaction.atomic():
            photos.put_photo(ware=ware, content=second, who=owner, now=NOW)
            raise NotAPicture("Nothing was saved.")

    with pytest.raises(NotAPicture):
        put_and_fail()
    assert Ware.objects.get().photo.name == before
    assert [path.name for path in tmp_path.rglob("*.jpg")] == [Path(before).name]
