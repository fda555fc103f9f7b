"""Wareboard: a studio potter's season, from the kiln to the stall and back to the wheel."""
