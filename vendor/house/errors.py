"""The one kind of error that is meant for the potter's eyes."""


class Refused(Exception):  # noqa: N818 - named as it reads: the act is refused
    """An act that was refused as a whole: says what happened, what was kept, what to do.

    Every part's own errors derive from it, so that a view can show any of them as a sentence
    while a fault of the program still shows up as a fault.
    """

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message
