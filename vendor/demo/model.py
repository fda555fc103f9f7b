"""The truth that the demonstration season is drawn from.

Written down so that tests can check estimates against what made the numbers. Demand of each ware
is a Poisson process: on an ordinary weekend (crowd 100 %) the expected number of pieces asked for
is FORM_RATE × FINISH_PULL, spread over the open hours by HOUR_WEIGHT. All of it is invented.
"""

import datetime

SEED = 20261202

# Pieces asked for on an ordinary weekend, by form code.
FORM_RATE = {
    "TUM": 9.0,
    "BER": 4.0,
    "BUT": 3.5,
    "PIG": 3.0,
    "CAN": 5.0,
    "OIL": 3.0,
    "THI": 22.0,
    "CAS": 0.8,
    "PLA": 5.0,
}
# How much more, or less, a finish is asked for.
FINISH_PULL = {"TEN": 1.0, "CEL": 1.4, "SHI": 1.1, "ASH": 0.7, "MAT": 0.9}
# Which forms are made in which finishes: the studio's ware.
MADE_IN = {
    "TUM": ("TEN", "CEL", "SHI", "ASH"),
    "BER": ("TEN", "CEL", "SHI", "ASH"),
    "BUT": ("TEN", "CEL", "ASH"),
    "PIG": ("TEN", "SHI", "ASH"),
    "CAN": ("TEN", "SHI", "MAT"),
    "OIL": ("TEN", "CEL", "ASH"),
    "THI": ("TEN", "CEL", "SHI", "ASH", "MAT"),
    "CAS": ("TEN", "CEL"),
    "PLA": ("TEN", "CEL", "SHI"),
}
# The crowd of each of the five weekends, in per cent of an ordinary one.
CROWD = (95, 105, 110, 120, 140)
# How the asking is spread over the open hours of a day, from ten to five.
HOUR_WEIGHT = (0.7, 1.1, 1.4, 1.5, 1.2, 1.0, 0.6)
# Of the weekend's asking, the share that falls on Saturday.
SATURDAY_SHARE = 0.55
# How likely a piece goes into the same sale as the one asked for just before it.
SAME_SALE = 0.2
# How people pay.
CARD_SHARE = 0.62
# Of every hundred glazed pieces: lost, and seconds.
LOSS_PERCENT = {"CAS": 14, "OIL": 9, "PLA": 8}
LOSS_PERCENT_OTHERWISE = 4
SECOND_PERCENT = 5
# Days from each firing to the third weekend's Saturday, and from its unloading.
FIRED_BEFORE = (41, 34, 28, 19, 12, 8)
UNLOADED_BEFORE = (39, 32, 26, 17, 10, 6)
# Of a weekend's asking, how much of each ware goes into each firing that it is part of. A ware
# is part of every second of the first four firings, and of the last two by PART_OF_LATE.
EARLY_LOAD = 1.3
LATE_LOAD = 1.0
# The potter brings this much of what an ordinary weekend of that crowd asks for.
BRING = 1.1
# Which pieces are promised: supporter, ware, set aside after which firing (None: still owed),
# days from the load day to when it is due, and whether it has been sent.
PROMISES: tuple[tuple[int, str, int | None, int, bool], ...] = (
    (0, "TUM-CEL", 5, 2, False),
    (1, "BER-TEN", 5, 9, False),
    (2, "PIG-SHI", 5, 9, False),
    (3, "OIL-CEL", 4, 16, False),
    (4, "TUM-TEN", 5, 16, False),
    (5, "CAN-MAT", 4, 23, False),
    (6, "BUT-ASH", 5, -3, False),
    (7, "TUM-SHI", None, 3, False),
    (8, "CAS-CEL", None, 20, False),
    (9, "BER-CEL", 4, -10, True),
    (10, "PLA-TEN", 4, -12, True),
    (11, "TUM-CEL", 5, 5, False),
)
# What is on the way on the load day: form, pieces, days from being thrown to the load day, and the
# steps since: stage, days to the load day, pieces lost and why. The jars are in the kiln that is
# still to be unloaded.
BATCHES: tuple[tuple[str, int, int, tuple[tuple[str, int, int, str], ...]], ...] = (
    (
        "THI", 60, 24,
        (("trimmed", 23, 1, "cut_through"), ("dry", 18, 0, ""), ("bisque", 10, 1, "cracked"),
         ("glazed", 3, 0, "")),
    ),
    (
        "TUM", 12, 17,
        (("trimmed", 15, 0, ""), ("dry", 11, 1, "cracked"), ("bisque", 5, 0, ""),
         ("glazed", 1, 0, "")),
    ),
    ("PIG", 9, 15, (("trimmed", 13, 1, "collapsed"), ("dry", 8, 0, ""), ("bisque", 5, 0, ""))),
    ("CAS", 3, 13, (("trimmed", 10, 0, ""), ("dry", 3, 0, ""))),
    ("PLA", 14, 6, (("trimmed", 4, 2, "warped"),)),
    ("BUT", 10, 1, ()),
)  # fmt: skip
# Batches that became all of a form in a firing: its number, the form, and the days from each
# stage to the firing. One piece of each was lost as it dried.
FIRED_BATCHES = ((5, "OIL", (23, 21, 15, 8, 2)), (6, "BER", (20, 18, 13, 7, 1)))
# Promises, by their place in PROMISES, that are in the making in the batch of their form.
IN_THE_MAKING = (7, 8)
# What was set aside to be bought, since all firings: ware, pieces, how many of them have sold.
EARLY = (("CAS-CEL", 2, 1), ("BUT-TEN", 2, 0))
ONLINE = (("CAS-TEN", 2, 1), ("BUT-TEN", 1, 0))
# Days that the early release is open, the load day and six more.
EARLY_DAYS = 7
# On the first weekend one piece was rung up as another of the same form: the closing's count
# finds it, one missing and one too many.
WRONGLY_RUNG = ("TUM-TEN", "TUM-CEL")
WRONGLY_RUNG_REASON = "A tenmoku tumbler was rung up as a celadon one on Saturday"
# What the till was short on the second weekend, in minor units: wrong change, by the notes.
SHORT = 200
SHORT_REASON = "Two dollars too much change, by the slip of paper in the till"


def rate(form: str, finish: str) -> float:
    """Return the pieces of a ware asked for on an ordinary weekend (expected)."""
    return FORM_RATE[form] * FINISH_PULL[finish]


def saturdays(today: datetime.date) -> list[datetime.date]:
    """Return the five Saturdays of the fair, laid so that the third is the coming one.

    The coming weekend is the first that is not over: on a Saturday or Sunday, that day's own.
    """
    third = today - datetime.timedelta(days=1) if today.weekday() == 6 else None
    if third is None:
        third = today + datetime.timedelta(days=(5 - today.weekday()) % 7)
    return [third + datetime.timedelta(weeks=week) for week in range(-2, 3)]
