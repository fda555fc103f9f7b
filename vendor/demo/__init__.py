"""The demonstration season: an invented studio, drawn from a written-down model."""
