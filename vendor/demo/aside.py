"""What the demonstration's potter sets aside to be bought: early by supporters, and online."""

import datetime

from vendor.demo import model
from vendor.demo.hands import Hands
from vendor.house import clock
from vendor.ledger.actions import Line
from vendor.supporters import offering, online
from vendor.supporters.models import EarlyRelease
from vendor.ware.models import PriceTier

LETTER = "Midwinter letter"


def set_aside(*, hands: Hands, now: datetime.datetime) -> None:
    """Open an early release and fill the online bin, and write down what has sold of them."""
    today = clock.day_of(now, hands.studio)
    tier = PriceTier.objects.get(name="Supporter")
    release = offering.open_early_release(
        key="demo-early",
        name=LETTER,
        opens_on=today,
        closes_on=today + datetime.timedelta(days=model.EARLY_DAYS - 1),
        tier=tier,
        who=hands.owner,
        now=now,
    )
    for code, pieces, sold in model.EARLY:
        offering.set_aside(
            key=f"demo-early-{code}", release=release, ware=hands.ware[code], quantity=pieces,
            who=hands.owner, now=now,
        )  # fmt: skip
        if sold:
            _sell(code, sold, tier, release, hands, now)
    lines = [Line(hands.ware[code].pk, pieces) for code, pieces, _ in model.ONLINE]
    online.put_online(key="demo-online", lines=lines, who=hands.owner, now=now)
    for code, _, sold in model.ONLINE:
        if sold:
            _sell(code, sold, PriceTier.objects.get(name="Online"), None, hands, now)


def _sell(
    code: str,
    pieces: int,
    tier: PriceTier,
    release: EarlyRelease | None,
    hands: Hands,
    now: datetime.datetime,
) -> None:
    """Write down a sale at the price of a list."""
    ware = hands.ware[code]
    online.sell_set_aside(
        key=f"demo-sold-{tier.name}-{code}",
        ware=ware,
        quantity=pieces,
        price=hands.prices.price(ware.pk, ware.form_id, tier.pk),
        release=release,
        reference=f"{tier.name} 1",
        tier_name=tier.name,
        who=hands.owner,
        now=now,
    )
