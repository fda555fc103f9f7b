"""Parts tags of one kind of piece into price tags for the free ones and reward tags for the held.

What a page of tags offers where more price tags were asked for than there are free pieces.
"""

from django.http import QueryDict

from vendor.labels.choosing import key_of
from vendor.labels.forms import TagsForm
from vendor.labels.held import stock
from vendor.labels.models import ON_PIECES
from vendor.ledger.queries import open_holds


def parting(form: TagsForm) -> str:
    """Say what would be printed instead, for the button that does it; empty where all is well."""
    if not form.too_many:
        return ""
    spots = {(pick.ware.pk, pick.grade) for pick in form.too_many if pick.ware}
    typed = {pick.key: form.cleaned_data.get(pick.key) or 0 for pick in form.picks}
    with_price = sum(typed[pick.key] for pick in form.picks if pick.hold is None)
    with_price += sum(pick.stock.most or 0 for pick in form.too_many)
    rewards = sum(typed[pick.key] for pick in form.picks if pick.hold)
    rewards += sum(
        hold.quantity
        for hold in open_holds()
        if (hold.ware_id, hold.grade) in spots and not typed.get(f"h{hold.pk}")
    )
    return f"Print {_tags(with_price, 'price')} and {_tags(rewards, 'reward')}"


def _tags(count: int, what: str) -> str:
    return f"{count:,} {what} tag{'s' if count != 1 else ''}"


def parted(sent: QueryDict, kind: str) -> QueryDict:
    """Return a page as it was sent, with no more price tags than free pieces where some are held.

    For those that are held there are their reward tags instead; what was typed for them stays.
    """
    if kind not in ON_PIECES:
        return sent
    changed, holds = sent.copy(), open_holds()
    for (ware_id, grade), there in stock().items():
        key = key_of(ware_id, grade)
        text = changed.get(key, "")
        typed = int(text) if text.isascii() and text.isdigit() and len(text) < 7 else 0
        if there.most is None or typed <= there.most:
            continue
        changed[key] = str(there.most)
        for hold in holds:
            if (hold.ware_id, hold.grade) == (ware_id, grade) and not changed.get(f"h{hold.pk}"):
                changed[f"h{hold.pk}"] = str(hold.quantity)
    return changed
