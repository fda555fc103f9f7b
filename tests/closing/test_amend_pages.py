"""Corrections of a statement: of cash and pots, in an open period, shown by both statements."""

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.closing.makers import MONDAY, NEXT_SUNDAY, Stall
from tests.factories import PriceFactory, WareFactory
from vendor.closing import pages, statement_sheet
from vendor.closing.models import Amendment, Closing
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
PAGE = reverse("closing:statement", args=[1])


@pytest.fixture
def potter(owner: User, client: Client) -> Client:
    """A browser in which the owner is logged in."""
    client.force_login(owner)
    return client


@pytest.fixture
def closed(stall: Stall) -> Closing:
    """The first weekend, closed with two tills and three pots."""
    ware: Ware = PriceFactory(tier=stall.first.fair.tier).ware
    stall.packs(ware, 3)
    stall.counts(ware, 3)
    stall.opens_till()
    stall.cash("float", 50_00)
    stall.cash("float", 20_00, till=2)
    stall.counts_cash(50_00)
    stall.counts_cash(20_00, till=2)
    return stall.closes()


def amend(client: Client, **told: object) -> int:
    """Send the form on Monday; return what it is answered with."""
    with time_machine.travel(MONDAY, tick=False):
        said = {"reason": "counted again", "key": "a", **told}
        return client.post(f"{PAGE}amend/", said).status_code


def paper(closing: Closing) -> str:
    return " ".join(statement_sheet.as_sheet(pages.statement(closing), the_studio()).close)


def test_cash_that_was_stated_wrong_is_corrected_and_both_statements_show_it(
    potter: Client, stall: Stall, closed: Closing
) -> None:
    """2.50 less in the second box: said with the old statement and with the next, also on paper."""
    assert amend(potter, way="less", difference="2.50", box="2") == 302
    made = Amendment.objects.get()
    assert (made.till, made.cash, made.entry) == (2, -2_50, None)
    told = "$2.50 less in cash box 2 than stated"
    assert told in potter.get(PAGE).content.decode()
    steps = potter.get(reverse("closing:weekend", args=[stall.second.pk])).content.decode()
    assert "Corrections of earlier statements, entered here" in steps
    assert told in steps
    ware = closed.lines.get().ware
    stall.counts(ware, 3, weekend=stall.second)
    stall.counts_cash(0, weekend=stall.second)
    second = stall.closes(weekend=stall.second, now=NEXT_SUNDAY)
    assert told in potter.get(reverse("closing:statement", args=[2])).content.decode()
    assert f"counted again ({told})" in paper(closed)
    assert f"corrects statement 1: counted again ({told})" in paper(second)
    assert second.cash_before == 67_50


def test_pots_that_are_not_in_the_statement_can_be_corrected_too(
    potter: Client, stall: Stall, closed: Closing
) -> None:
    """A jar that nobody knew of stands on the stall."""
    jar: Ware = WareFactory()
    assert "Not in the statement" in potter.get(PAGE).content.decode()
    assert amend(potter, piece=f"{jar.pk}-first", stands=1) == 302
    assert f"+1 {jar.name}" in potter.get(PAGE).content.decode()
    assert f"(+1 {jar.name})" in paper(closed)


@pytest.mark.parametrize(
    "told",
    [{"way": "more"}, {"difference": "5"}, {"way": "more", "difference": "0"}, {"stands": "3"}],
)
def test_half_a_correction_is_refused_and_kept_on_the_page(
    potter: Client, closed: Closing, told: dict[str, str]
) -> None:
    """Which way and how much, which pieces and how many."""
    assert amend(potter, **told) == 409
    assert not Amendment.objects.exists()
