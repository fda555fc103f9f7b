"""What sold, where, when and for how much."""
