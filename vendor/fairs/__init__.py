"""Fairs, weekends, selling days and packing lists."""
