"""Counts, the till and the closing of one weekend."""
