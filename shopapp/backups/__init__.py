"""Backups: made while the shop is open, brought back into an empty place, proven."""
