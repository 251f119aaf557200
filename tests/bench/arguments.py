"""What the benchmarks take from the command line."""

import argparse

MOST = 10**6


def above_zero(kind):
    """A number above 0, or argparse's own sentence."""

    def read(text):
        value = kind(text)
        if not 0 < value < MOST:
            raise argparse.ArgumentTypeError(f"{text} is not above 0")
        return value

    read.__name__ = "number"
    return read
