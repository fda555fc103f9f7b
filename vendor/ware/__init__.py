"""Forms, finishes, ware, price tiers and prices."""
