"""Random numbers that are the same for the same seed, on every machine (pure)."""

from __future__ import annotations


class Draw:
    """A small seeded generator of our own, equal on every machine (xorshift64*).

    Source: Vigna 2016, ACM TOMS 42:30 (constants from memory).
    """

    def __init__(self, seed: int) -> None:
        self.state = (seed * 0x9E3779B97F4A7C15 + 0x1234567) % (1 << 64) or 1

    def below(self, bound: int) -> int:
        """A whole number from 0 to bound - 1."""
        state = self.state
        state ^= state >> 12
        state ^= (state << 25) & 0xFFFFFFFFFFFFFFFF
        state ^= state >> 27
        self.state = state
        return ((state * 0x2545F4914F6CDD1D >> 32) & 0xFFFFFFFF) * bound >> 32
