"""Price tags and label sheets as PDF."""
