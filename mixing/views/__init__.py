"""Pages of the bench."""
