"""Every write of this part, by name: opening fairs, planning weekends, packing, loading.

Other parts, pages and commands call these through this module.
"""

from vendor.fairs.planning import (
    OpenDay,
    Terms,
    change_fair,
    change_weekend,
    drop_weekend,
    open_fair,
    plan_weekends,
    refuse_closed,
    terms_of,
)
from vendor.fairs.unpacking import unpack
from vendor.fairs.van import (
    Packed,
    bring,
    bring_home,
    load_van,
    pack,
    start_list,
    unload_van,
)

__all__ = [
    "OpenDay",
    "Packed",
    "Terms",
    "bring",
    "bring_home",
    "change_fair",
    "change_weekend",
    "drop_weekend",
    "load_van",
    "open_fair",
    "pack",
    "plan_weekends",
    "refuse_closed",
    "start_list",
    "terms_of",
    "unload_van",
    "unpack",
]
