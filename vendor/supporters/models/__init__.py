"""Supporters and what is promised to them: one module of tables for each of the part's subjects."""

from vendor.supporters.models.people import Supporter
from vendor.supporters.models.promises import Commitment, Parcel, Step

__all__ = ["Commitment", "Parcel", "Step", "Supporter"]
