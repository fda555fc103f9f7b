"""Kilns, firings, unloading, losses and the value of what came out."""
