"""Reads of the bottle's path that pages and the car's path share."""
