"""Opening a shop: what is there, what is missing, defaults that serve, a try."""
