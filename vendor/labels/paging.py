"""A PDF that goes to its file page by page, so that its length costs no memory.

reportlab keeps every page and every form until a document is saved. Here each is written as soon
as it is done; of a page there stay twenty bytes (its number, and where it and its contents begin in
the file), of a form its name and number.
"""

from array import array
from collections.abc import Iterator
from typing import IO, Any

from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

TOGETHER = 500
"""So many entries of a table are put into words at a time."""


class PageByPage(pdfdoc.PDFDocument):
    """reportlab's document, with its pages and forms in the file already.

    Begun by `to`, ended by the canvas's own `save`, which writes what belongs to the whole.
    """

    _target: IO[bytes]
    _begins: "array[int]"
    _pages: "array[int]"
    _length: int

    @classmethod
    def to(cls, target: IO[bytes], canvas: Canvas) -> None:
        """Let a canvas on which nothing is drawn yet write to a file as it goes."""
        document: Any = canvas._doc  # type: ignore[attr-defined]
        document.__class__ = cls  # the canvas makes its document itself
        document._start(target)

    def _start(self, target: IO[bytes]) -> None:
        self._target, self._length = target, 0
        self._begins, self._pages = array("Q", [0]), array("L")
        version: Any = self._pdfVersion  # type: ignore[attr-defined]
        self._write(pdfdoc.PDFFile(version).format(self))
        self.Reference(self.Pages)  # type: ignore[attr-defined, no-untyped-call]

    def addPage(self, page: Any) -> None:  # noqa: N802 - reportlab's name
        """Write a page and its contents."""
        page.check_format(self)
        page.Contents = f"{self._put(page.Contents)} 0 R"
        self._pages.append(self._put(page))
        self.pageCounter += 1
        self.inObject = None

    def addForm(self, name: str, form: Any) -> None:  # noqa: N802 - reportlab's name
        """Write a form; a picture, which comes this way too, waits for the end."""
        if not isinstance(form, pdfdoc.PDFFormXObject):
            super().addForm(name, form)
            return
        inner = pdfdoc.xObjectName(name)
        self.idToObjectNumberAndVersion[inner] = (self._put(form), 0)
        self.inObject = None

    def format(self) -> bytes:
        """Write all that is left; there is nothing to be written after it."""
        kept: Any = self
        catalog, about = kept.Reference(kept.Catalog), kept.Reference(kept.info)
        done: set[int] = set()
        # what is written may name what isn't there yet
        while todo := sorted(kept.numberToId.keys() - done):
            for number in todo:
                self._put_kept(number, kept.idToObject[kept.numberToId[number]])
            done |= set(todo)
        begin, size = self._length, kept.objectcounter + 1
        self._write(f"xref\n0 {size}\n0000000000 65535 f \n".encode())
        for some in _parts(self._begins, begin=1):
            self._write("".join(f"{at:010d} 00000 n \n" for at in some).encode())
        trailer: Any = pdfdoc.PDFTrailer(begin, Size=size, Root=catalog, Info=about, ID=kept.ID())
        self._write(trailer.format(self))
        return b""

    def _put(self, thing: Any) -> int:
        """Write a thing that nothing has a number for; return the one it gets."""
        self.objectcounter: int
        self.objectcounter += 1
        number = self.objectcounter
        self._put_at(number, pdfdoc.format(thing, self, toplevel=1))
        return number

    def _put_kept(self, number: int, thing: Any) -> None:
        """Write a thing at the end; the list of pages is put into words a part at a time."""
        if thing is not self.Pages:  # type: ignore[attr-defined]
            self._put_at(number, pdfdoc.format(thing, self, toplevel=1))
            return
        self._begin(number)
        self._write(f"<< /Type /Pages /Count {len(self._pages)} /Kids [".encode())
        for some in _parts(self._pages):
            self._write("".join(f"\n{page} 0 R" for page in some).encode())
        self._write(b" ] >>\nendobj\n")

    def _put_at(self, number: int, body: bytes) -> None:
        self._begin(number)
        self._write(body if body.endswith(b"\n") else body + b"\n")
        self._write(b"endobj\n")

    def _begin(self, number: int) -> None:
        missing = number + 1 - len(self._begins)
        self._begins.extend([0] * missing)
        self._begins[number] = self._length
        self._write(f"{number} 0 obj\n".encode())

    def _write(self, some: bytes) -> None:
        self._target.write(some)
        self._length += len(some)


def _parts(numbers: "array[int]", begin: int = 0) -> Iterator["array[int]"]:
    for at in range(begin, len(numbers), TOGETHER):
        yield numbers[at : at + TOGETHER]
