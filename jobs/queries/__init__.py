"""Reads that span models, one file a page family."""
