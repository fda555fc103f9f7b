"""Supporters and what is promised to them: one module of tables for each of the part's subjects."""

from vendor.supporters.models.contributions import (
    ColumnMapping,
    Contribution,
    ContributionChange,
    ContributionFile,
)
from vendor.supporters.models.history import Answer, Step
from vendor.supporters.models.offers import EarlyPiece, EarlyRelease, ShopSale
from vendor.supporters.models.parcels import Parcel
from vendor.supporters.models.people import Supporter
from vendor.supporters.models.promises import Commitment
from vendor.supporters.models.rules import Level, LevelTerms, Question, Reward, RewardTerms

__all__ = [
    "Answer",
    "ColumnMapping",
    "Commitment",
    "Contribution",
    "ContributionChange",
    "ContributionFile",
    "EarlyPiece",
    "EarlyRelease",
    "Level",
    "LevelTerms",
    "Parcel",
    "Question",
    "Reward",
    "RewardTerms",
    "ShopSale",
    "Step",
    "Supporter",
]
