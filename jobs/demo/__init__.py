"""The demo shop: invented people, cars and weeks, made by the actions people use."""
