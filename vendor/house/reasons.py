"""Why something was done, in a person's own words: asked for in one way by every part."""

from vendor.house.errors import Refused

LONGEST = 200
"""Letters: as many as the tables keep."""


class ReasonNeeded(Refused):
    """The act asks why, and nothing was said, or more than is kept."""


def reason_of(text: str, what: str = "") -> str:
    """Return a reason in one line; refuses (ReasonNeeded) one that says nothing, or too much.

    `what` ends the sentence that asks: “Please say why” it comes back.
    """
    reason = " ".join(text.split())
    if not reason:
        asked = f"Please say why {what}" if what else "Please say why"
        raise ReasonNeeded(f"{asked}: a word or two is enough. Nothing was changed.")
    if len(reason) > LONGEST:
        raise ReasonNeeded(
            f"A reason has at most {LONGEST} letters, and this one has {len(reason)}. "
            "Nothing was changed: say it in fewer."
        )
    return reason
