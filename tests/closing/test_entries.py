"""Every figure of the equation opens into the entries that it is made of."""

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.closing.makers import NEXT_SATURDAY, SATURDAY_NOON, SUNDAY_NIGHT, Stall
from tests.factories import WareFactory
from vendor.closing.entries import opened
from vendor.house.models import new_key
from vendor.ledger import actions as ledger

pytestmark = pytest.mark.django_db


def test_an_undone_sale_is_listed_and_taken_off(stall: Stall) -> None:
    """Ten packed, two sold and one of those undone: 2 - 1 = 1, and all three entries are there."""
    ware = WareFactory()
    stall.packs(ware, 10)
    stall.sells(ware)
    undone = stall.sells(ware)
    ledger.reverse(
        key=new_key(), entry=undone.entry, who=stall.owner, now=SATURDAY_NOON, reason="slip"
    )
    line = stall.line(ware)
    assert line is not None
    figures = opened(stall.first, ware.pk, "first").figures
    assert {each.name: [part.pieces for part in each.parts] for each in figures} == {
        "packed_in": [10], "sold": [1, 1, -1],
    }  # fmt: skip
    for each in figures:
        assert each.total == getattr(line.pots, each.name)


def test_figures_link_to_their_entries_before_and_after_closing(
    stall: Stall, client: Client
) -> None:
    """From what differs, from the statement, and from the next weekend back to the statement."""
    client.force_login(stall.owner)
    ware = WareFactory()
    stall.packs(ware, 10)
    sale = stall.sells(ware, amount=500)
    stall.counts(ware, 8)
    stall.counts_cash(500)
    page = reverse("closing:entries", args=[stall.first.pk, ware.pk, "first"])
    with time_machine.travel(SUNDAY_NIGHT, tick=False):
        shown = client.get(reverse("closing:differences", args=[stall.first.pk]))
        assert f'href="{page}#sold">1</a>' in shown.content.decode()
        stall.explains(ware, "fell")
        closing = stall.closes()
        shown = client.get(reverse("closing:statement", args=[closing.number]))
        assert f'href="{page}#packed_in">10</a>' in shown.content.decode()
        told = client.get(page).content.decode()
    assert reverse("ledger:entry", args=[sale.entry_id]) in told
    # The closing's own correction is what the statement led to, not part of it.
    assert closing.correction_id is not None
    assert reverse("ledger:entry", args=[closing.correction_id]) not in told
    stall.sells(ware, at=NEXT_SATURDAY)
    later = reverse("closing:entries", args=[stall.second.pk, ware.pk, "first"])
    told = client.get(later).content.decode()
    assert "as <a" in told
    assert "Opening: 8" in told
