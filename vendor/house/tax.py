"""Sales tax on whole minor units: added to a price or taken out of it, by line or by receipt.

Which rate applies, and whether prices hold the tax, is the seller's to find out from the local
rules; this module only computes. The rounding is that of the Streamlined Sales and Use Tax
Agreement, section 324 (so enacted in N.D. Century Code 57-39.4-25, R.I. Gen. Laws 44-18.1-25,
Kan. Stat. 79-3676, Mass. G.L. c. 64I section 5): on an item or an invoice basis, to the third
decimal, and up when that is greater than four. For amounts above zero that equals rounding the
exact product once, half up; rounding to three places first and then to two would be wrong.

Amounts are minor units, rates are parts per million. Amounts below zero (refunds) are the exact
mirror of those above.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from vendor.house.money import MILLION, half_up, share_of
from vendor.house.split import split


class TaxRounding(StrEnum):
    """Where tax is rounded to a whole minor unit; keep one way within a tax period."""

    LINE = "line"
    RECEIPT = "receipt"


@dataclass(frozen=True)
class Taxed:
    """An amount and its tax: what the seller keeps, and what goes to the tax office."""

    net: int
    tax: int

    @property
    def total(self) -> int:
        """What the customer pays."""
        return self.net + self.tax


def add_tax(net: int, rate_ppm: int) -> Taxed:
    """Return an amount with its tax on top: net × rate, half up."""
    return Taxed(net, share_of(net, rate_ppm))


def take_out_tax(total: int, rate_ppm: int) -> Taxed:
    """Return the two parts of an amount that holds its tax; they sum to it exactly.

    The tax is total × rate ÷ (1 + rate), half up; the net is the rest, and is never rounded on
    its own.
    """
    tax = half_up(total * rate_ppm, MILLION + rate_ppm)
    return Taxed(total - tax, tax)


def tax_lines(
    amounts: Sequence[int], rate_ppm: int, *, included: bool, by: TaxRounding
) -> tuple[Taxed, ...]:
    """Return each line's amount and tax, in order; their sums are those of the receipt.

    `amounts` are what the lines cost, with the tax in them if it is `included`, and all zero or
    more. By line, each is rounded on its own. By receipt, the sum is rounded once and its tax is
    laid on the lines by `split`, in proportion to their amounts.
    """
    taxed = take_out_tax if included else add_tax
    # By value, not by identity: settings hand over the plain word, and a wrong one must raise.
    if TaxRounding(by) is TaxRounding.LINE:
        return tuple(taxed(amount, rate_ppm) for amount in amounts)
    taxes = split(taxed(sum(amounts), rate_ppm).tax, amounts)
    return tuple(
        Taxed(amount - tax if included else amount, tax)
        for amount, tax in zip(amounts, taxes, strict=True)
    )
