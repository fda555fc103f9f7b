"""What every test stands on."""

from hypothesis import settings

# A property may take its time on a busy machine, and longest when it first loads a library: a
# deadline would fail the machine, not the code.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
