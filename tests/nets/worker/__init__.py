"""The process that looks at the shop, with a clock that stands still."""
