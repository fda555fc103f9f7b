"""Places, entries, movements, balances and holds: the only writer of stock."""
