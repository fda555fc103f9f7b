"""Batches, kilns and firings: one module of tables for each of the part's subjects."""

from vendor.firings.models.batches import MAX_PIECES, Batch, BatchStep, Stage
from vendor.firings.models.firings import Firing, FiringLine, Loss, UndoneUnloading
from vendor.firings.models.kilns import Kiln
from vendor.firings.models.witnesses import WitnessCone

__all__ = [
    "MAX_PIECES",
    "Batch",
    "BatchStep",
    "Firing",
    "FiringLine",
    "Kiln",
    "Loss",
    "Stage",
    "UndoneUnloading",
    "WitnessCone",
]
