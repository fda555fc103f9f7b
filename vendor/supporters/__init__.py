"""Supporters, what was promised to them, and the piece set apart for each promise."""
