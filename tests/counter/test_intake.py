"""What becomes of the documents that devices send: each once, each answered, none lost."""

import copy
import datetime
from typing import Any

import pytest

from tests.counter.stalls import NOW, SATURDAY, SOLD_AT, SUNDAY, Stall, reckoned
from vendor.counter import actions
from vendor.counter.intake import Answer, Outcome, take_in
from vendor.counter.models import Payment, Sale, SaleLine, Unsettled
from vendor.ledger import actions as ledger
from vendor.ledger.audit import audit
from vendor.ledger.models import Entry


def send(stall: Stall, *documents: object, **more: Any) -> list[Answer]:
    """Send documents as the owner, three seconds after the sale."""
    return take_in(raws=documents, who=more.pop("who", stall.owner), now=NOW, **more)


def test_a_proper_document_becomes_a_sale(stall: Stall) -> None:
    """Its pieces leave the stall, and its facts are written down."""
    [answer] = send(stall, stall.document((stall.tumbler, 2), (stall.bowl, 1)))
    assert (answer.outcome, answer.number, answer.found) == (Outcome.TAKEN, 1, 0)
    sale = Sale.objects.get()
    assert (sale.weekend, sale.day, sale.sold_at) == (stall.weekend, SATURDAY, SOLD_AT)
    # 2 × 34.00 + 46.00 = 114.00; 7.25 % of it is 8.265, half up 8.27.
    assert (sale.net, sale.tax, sale.total, sale.pieces) == (11400, 827, 12227, 3)
    assert (stall.left(stall.tumbler), stall.left(stall.bowl)) == (8, 3)
    line = sale.lines.get(ware=stall.tumbler)
    assert (line.tier, line.name, line.list_price, line.unit_price) == (
        ("Fair", "Tumbler, celadon", 3400, 3400)
    )
    paid = sale.payments.get()
    assert (paid.method, paid.amount, paid.tendered, paid.change) == ("cash", 12227, 12227, 0)
    assert audit() == []


def test_the_same_document_twice_is_one_sale(stall: Stall) -> None:
    """A device that heard no answer sends again; the answer is the same number."""
    document = stall.document()
    first, second = send(stall, document, copy.deepcopy(document))
    assert (first.outcome, second.outcome) == (Outcome.TAKEN, Outcome.HAD)
    assert first.number == second.number
    assert send(stall, dict(reversed(document.items())))[0].outcome == Outcome.HAD
    assert (Sale.objects.count(), stall.left(stall.tumbler)) == (1, 9)


def test_other_contents_under_a_used_key_are_kept_for_the_owner(stall: Stall) -> None:
    """Neither sale is lost: the second waits, and sending it again keeps it once."""
    document = stall.document()
    other = stall.document((stall.bowl, 1), key=document["key"])
    assert [a.outcome for a in send(stall, document, other, other)] == ["taken", "kept", "kept"]
    kept = Unsettled.objects.get()
    assert (kept.why, kept.document) == ("key", other)
    assert stall.left(stall.bowl) == 4


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"fair": 999}, "terms"),
        ({"terms": {"currency": "EUR"}}, "terms"),
        ({"terms": {"tax_rate_ppm": 60_000}}, "terms"),
        ({"terms": {"cash_step": 5}}, "terms"),
        ({"lines": {"ware": "NO-SUCH"}}, "ware"),
        ({"lines": {"list_price": 3300}}, "price"),
        ({"sold_at": "2026-12-01T16:00:00Z"}, "day"),
        ({"sold_at": "2026-12-06T16:00:00Z"}, "day"),
    ],
)
def test_what_does_not_hold_against_the_books_is_kept_whole(
    stall: Stall, change: dict[str, Any], why: str
) -> None:
    """The facts stay as the seller saw them; no stock moves; sending again changes nothing."""
    document = stall.document()
    for name, value in change.items():
        if name == "lines":
            document["lines"][0] |= value
        else:
            document[name] = document[name] | value if isinstance(value, dict) else value
    document = reckoned(document)
    assert [a.outcome for a in send(stall, document, document)] == ["kept", "kept"]
    kept = Unsettled.objects.get()
    assert (kept.why, kept.document, kept.sent_by) == (why, document, stall.owner)
    assert (Sale.objects.count(), stall.left(stall.tumbler)) == (0, 10)


@pytest.mark.parametrize("name", ["discount", "net", "tax", "total", "cash_rounding", "change"])
def test_a_tampered_sum_is_kept_and_not_believed(stall: Stall, name: str) -> None:
    """The server reckons every figure again."""
    document = stall.document((stall.tumbler, 3))
    document["figures"][name] += 1
    assert send(stall, document)[0].outcome == Outcome.KEPT
    assert Unsettled.objects.get().why == "figures"


@pytest.mark.parametrize("settles", [0, 3646, 3648])
def test_payments_that_do_not_come_to_the_total_are_kept(stall: Stall, settles: int) -> None:
    """34.00 and its tax are 36.47, no more and no less."""
    document = stall.document()
    document["payments"][0]["settles"] = settles
    assert send(stall, document)[0].outcome == Outcome.KEPT
    assert Unsettled.objects.get().why == "figures"


def test_retired_ware_is_kept(stall: Stall) -> None:
    """The owner may have retired it by mistake, or the tag is an old one."""
    stall.tumbler.retired = True
    stall.tumbler.save()
    assert send(stall, stall.document())[0].outcome == Outcome.KEPT
    assert "Tumbler, celadon" in Unsettled.objects.get().reason


def test_a_sale_of_a_closed_weekend_is_kept_with_the_reason(stall: Stall) -> None:
    """Closed is closed; the late sale waits in the tray of its weekend."""
    ledger.close_through(place=stall.place, day=SUNDAY)
    [answer] = send(stall, stall.document())
    assert answer.outcome == Outcome.KEPT
    kept = Unsettled.objects.get()
    assert (kept.why, kept.weekend) == ("closed", stall.weekend)
    assert (Sale.objects.count(), Entry.objects.filter(kind="sale").count()) == (0, 0)


def test_past_the_count_the_piece_in_the_hand_is_found(stall: Stall) -> None:
    """Four bowls are recorded, six are sold: two had to be found."""
    [answer] = send(stall, stall.document((stall.bowl, 5), (stall.bowl, 1)))
    assert (answer.outcome, answer.found) == (Outcome.TAKEN, 2)
    assert [line.found for line in SaleLine.objects.all()] == [2, 0]
    assert stall.left(stall.bowl) == 0
    assert audit() == []


def test_a_held_piece_is_not_sold_until_the_seller_says_so(stall: Stall) -> None:
    """Without a word it waits; with the hold's number the hold ends."""
    hold = stall.hold(stall.bowl)
    plain = stall.document((stall.bowl, 4))
    assert send(stall, plain)[0].outcome == Outcome.KEPT
    assert Unsettled.objects.get().why == "held"
    spoken = stall.document((stall.bowl, 4), overridden=[hold.pk])
    assert send(stall, spoken)[0].outcome == Outcome.TAKEN
    hold.refresh_from_db()
    assert (hold.quantity, stall.left(stall.bowl)) == (0, 0)
    assert audit() == []


def test_a_hold_of_a_piece_that_is_not_in_the_sale_stays(stall: Stall) -> None:
    """The seller chose it, took the piece out of the sale again, and sold another."""
    hold = stall.hold(stall.bowl)
    [answer] = send(stall, stall.document((stall.tumbler, 1), overridden=[hold.pk]))
    hold.refresh_from_db()
    assert (answer.outcome, hold.quantity) == (Outcome.TAKEN, 1)
    assert audit() == []


def test_a_piece_that_is_not_the_held_one_is_found(stall: Stall) -> None:
    """The hold stays, and the closing will ask about the fourth free bowl."""
    hold = stall.hold(stall.bowl)
    [answer] = send(stall, stall.document((stall.bowl, 4), not_the_held=True))
    hold.refresh_from_db()
    assert (answer.outcome, answer.found, hold.quantity) == (Outcome.TAKEN, 1, 1)
    assert stall.left(stall.bowl) == 1


def test_a_clock_that_is_off_is_put_right(stall: Stall) -> None:
    """The device believes it is Monday; the batch says so, and the sales fall on Saturday."""
    monday = datetime.timedelta(days=2, hours=3)
    document = stall.document(sold_at=(SOLD_AT + monday).isoformat())
    assert send(stall, document, sent_at=NOW + monday)[0].outcome == Outcome.TAKEN
    assert Sale.objects.get().sold_at == SOLD_AT


def test_a_sale_entered_later_from_paper_keeps_its_moment(stall: Stall) -> None:
    """The clock that is off did not tell it: Saturday's sale stays Saturday's."""
    document = stall.document(entered_later=True)
    behind = NOW - datetime.timedelta(days=2)
    assert send(stall, document, sent_at=behind)[0].outcome == Outcome.TAKEN
    assert Sale.objects.get().sold_at == SOLD_AT


def test_each_document_of_a_batch_is_answered_for_itself(stall: Stall) -> None:
    """One that is malformed or kept does not hold the others up."""
    bad = stall.document() | {"note": 7}
    kept = stall.document(fair=999)
    answers = send(stall, bad, stall.document(), kept, "nonsense", stall.document())
    assert [a.outcome for a in answers] == ["malformed", "taken", "kept", "malformed", "taken"]
    assert [a.number for a in answers if a.number] == [1, 2]
    assert answers[0].key == bad["key"]
    assert answers[0].reason == "note: should be a text of 0 to 200 letters"
    assert answers[3].key is None


def test_a_fault_of_ours_in_one_sale_does_not_hold_up_the_others(
    stall: Stall, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """It stays on the device and in the log; the next one is taken."""
    broken, good = stall.document(), stall.document()
    ring_up = actions.ring_up

    def faulty(**told: Any) -> Sale:
        if told["key"] == broken["key"]:
            raise RuntimeError("a fault of ours")
        return ring_up(**told)

    monkeypatch.setattr(actions, "ring_up", faulty)
    answers = take_in(raws=[broken, good], who=stall.owner, now=NOW)
    assert [answer.outcome for answer in answers] == [Outcome.LATER, Outcome.TAKEN]
    assert "a fault of ours" in caplog.text
    assert Sale.objects.get().key == good["key"]


def test_split_payment_tip_and_discounts_are_written_as_they_were(stall: Stall) -> None:
    """20.00 by card with a tip of 2.00, the rest in cash from a fifty."""
    document = stall.document(
        (stall.tumbler, 2),
        discount={"amount": 500, "rate_ppm": 0},
        discount_reason="A neighbour",
        payments=[
            {"method": "card", "settles": 2000, "tip": 200, "tendered": None},
            {"method": "cash", "settles": 4757, "tip": 0, "tendered": 5000},
        ],
        note="Grüße aus Łódź – 日本 🏺",
    )
    assert send(stall, document)[0].outcome == Outcome.TAKEN
    sale = Sale.objects.get()
    # 68.00 - 5.00 = 63.00; 7.25 % is 4.5675, half up 4.57.
    assert (sale.total, sale.discount, sale.discount_reason) == (6757, 500, "A neighbour")
    assert sale.note == "Grüße aus Łódź – 日本 🏺"
    card, cash = Payment.objects.all()
    assert (card.amount, card.tip, card.tendered, card.change) == (2000, 200, None, 0)
    assert (cash.amount, cash.tip, cash.tendered, cash.change) == (4757, 0, 5000, 243)


def test_seconds_are_sold_from_their_own_list(stall: Stall) -> None:
    """A second of the tumbler costs half, and leaves the firsts alone."""
    assert send(stall, stall.document(grade="second"))[0].outcome == Outcome.TAKEN
    line = SaleLine.objects.get()
    assert (line.grade, line.tier, line.list_price) == ("second", "Second", 1700)
    assert (stall.left(stall.tumbler), stall.left(stall.tumbler, "second")) == (10, 1)


def test_a_sale_takes_a_fixed_number_of_statements(
    stall: Stall, django_assert_max_num_queries: Any
) -> None:
    """However many lines it has, and however many sales there are already."""
    send(stall, stall.document(), stall.document())
    with django_assert_max_num_queries(45) as small:
        send(stall, stall.document())
    with django_assert_max_num_queries(45) as large:
        send(stall, stall.document(*[(stall.tumbler, 1), (stall.bowl, 1)] * 20))
    # One more pair of statements for the second ware's balance.
    assert len(large) <= len(small) + 2
