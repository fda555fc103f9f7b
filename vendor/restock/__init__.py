"""Estimates demand and says what to bring; its numbers are a pure core."""
